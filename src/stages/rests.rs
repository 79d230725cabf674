//! What a blocker rests on beside the statements about its own thing: so that a waiver does not outlive a cut, a
//! tightening or a word on money that made another blocker of it.

use crate::facts::{Account, Body, Decision, Fact, PartEvent};
use crate::shop::{Job, Thing, Touched};
use crate::stages::blocker::BlockerRule;
use crate::stages::matters::is_work;

/// A rule, and which statements it looks at whatever they are about.
type Also = (BlockerRule, fn(&Fact) -> bool);

const ALSO: [Also; 10] = [
    // The last cut, who tightened, and what went in since.
    (BlockerRule::Checked, |fact| is_work(&fact.body) || tightens(fact) || loosens(fact)),
    (BlockerRule::CutTooSoon, is_money),
    // The size of what a part sits on.
    (BlockerRule::Fitted, |fact| is_work(&fact.body) || gives_size(fact)),
    (BlockerRule::UnderNewBolts, |fact| tightens(fact) || loosens(fact)),
    // What the bolts hold came off, or was fitted anew.
    (BlockerRule::Torqued, loosens),
    (BlockerRule::Lubricant, loosens),
    (BlockerRule::NewBolts, loosens),
    (BlockerRule::NotAgain, loosens),
    // What is ordered, and a size that comes back, is held against what was agreed.
    (BlockerRule::Ordered, |fact| {
        matches!(fact.body, Body::Decision(Decision::AgreedWork(_) | Decision::Disposition(_)))
    }),
    (BlockerRule::ReturnedSize, |fact| matches!(fact.body, Body::Decision(Decision::AgreedWork(_)))),
];

/// Does a blocker of this rule rest on a statement that is not about its thing?
pub(super) fn also(rule: Option<BlockerRule>, fact: &Fact) -> bool {
    ALSO.iter().any(|(known, looks_at)| Some(*known) == rule && looks_at(fact))
}

/// A thing with what moves it when it is machined.
pub(super) fn with_movers(job: &Job, about: Touched) -> Touched {
    let Touched::Things(mut things) = about else { return about };
    let mut movers = Vec::new();
    for thing in &things {
        let Thing::Surface(key) = thing else { continue };
        for feature in job.feature(*key).map_or(&[][..], |feature| &feature.moved_by) {
            let of = job.surfaces.keys().filter(|other| other.feature == *feature).copied();
            movers.extend(of.map(Thing::Surface));
        }
    }
    things.extend(movers);
    Touched::Things(things)
}

fn tightens(fact: &Fact) -> bool {
    matches!(&fact.body, Body::Assembly(assembly) if !assembly.torque.is_empty())
}

/// A part came off or went in, and with it the bolts that hold it.
fn loosens(fact: &Fact) -> bool {
    matches!(&fact.body, Body::Part(body) if body.event.loosens())
        || matches!(&fact.body, Body::Assembly(assembly) if !assembly.fitted.is_empty())
}

fn gives_size(fact: &Fact) -> bool {
    matches!(&fact.body, Body::Part(body) if body.event == PartEvent::Replaced || !body.stamps.is_empty())
}

const fn is_money(fact: &Fact) -> bool {
    matches!(
        &fact.body,
        Body::Account(Account::Estimate(_)) | Body::Decision(Decision::Approval(_) | Decision::AgreedWork(_))
    )
}
