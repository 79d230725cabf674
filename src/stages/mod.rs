//! Stages: where an engine stands, derived from facts. Nobody moves anything.
//!
//! Six gates in order. Each gate is a list of rules, one file a rule; a rule gives [`Blocker`]s that say what
//! is missing and who must act. The stage is the first gate with a blocker, so a re-measure that fails, or a
//! reading that is withdrawn, takes the engine back by itself. No gate is a count.
//!
//! A gate is a folder, a rule a file. What a rule asks it asks only where the sheet says so, in the scopes that came:
//! a sheet without bags and parts to strip has no such rules. Rules that belong to several gates (`checked`, `gauged`, `signed`) lie
//! beside the folders.

mod agreed_on;
mod asked;
mod bags;
mod blocker;
pub mod cautions;
mod checked;
mod checked_in;
mod gauged;
mod held_orders;
mod inspection;
mod lines;
mod looked_over;
mod machining;
mod matters;
mod people;
mod reassembly;
mod released;
mod rests;
mod seen;
mod signable;
mod signed;
mod statements;
mod teardown;
mod usual;
mod waived;

pub use agreed_on::agreement_code;
pub use blocker::{Actor, Blocker, BlockerRule, Stage};
pub use inspection::undecided;
pub use people::person;
pub use signable::{Quote, Signable, signables};
pub use statements::{Act, StatementNow, gate_of_step};
pub use usual::{Usual, usual};
pub use waived::{WaiverNow, WaiverState};

use crate::judgement::Judgement;
use crate::sheets::fold_name;
use crate::shop::{Job, Order, SurfaceKey};
use crate::stages::seen::Seen;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A rule: what of it is open.
type Rule = fn(&Job, &Judgement) -> Vec<Blocker>;

/// Every rule but the signatures, in the order of the gates and of the work.
const RULES: [Rule; 53] = [
    checked_in::received,
    checked_in::stored,
    checked_in::authority,
    checked::blockers,
    teardown::stripped,
    teardown::bagged,
    teardown::plugs_out,
    teardown::pins_out,
    teardown::cleaned,
    inspection::looked_at,
    inspection::tested,
    inspection::before_stripping,
    inspection::measured,
    inspection::questioned,
    gauged::blockers,
    inspection::decided,
    inspection::disposed,
    inspection::obtainable,
    inspection::estimated,
    inspection::approved,
    machining::cut_too_soon,
    machining::in_hand,
    machining::ordered,
    machining::agreed,
    machining::done,
    machining::carried_out,
    machining::out,
    machining::counted_back,
    machining::returned_size,
    machining::demagnetised,
    machining::remeasured,
    machining::tested_again,
    machining::plugs_in,
    reassembly::all_came,
    reassembly::as_fitted,
    reassembly::fitted,
    reassembly::own_order,
    reassembly::torqued,
    reassembly::good_wrench,
    reassembly::final_torque,
    reassembly::lubricant,
    reassembly::not_again,
    reassembly::new_bolts,
    reassembly::always_new,
    reassembly::under_new_bolts,
    reassembly::pins_in,
    reassembly::bags_used,
    reassembly::problems,
    released::before_start,
    released::held,
    released::priced,
    released::paid,
    released::old_parts,
];

/// The job without the statements that do not stand: what a plan and a choice of parts rest on.
#[must_use]
pub fn heard<'j>(job: &'j Job, standing: &Standing) -> Cow<'j, Job> {
    statements::heard(job, &standing.statements)
}

/// Where an engine stands.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The first gate with a blocker.
    pub stage: Stage,
    /// There is a check-in that stands.
    pub is_checked_in: bool,
    /// Every blocker of every gate that nobody has set aside, gates in order.
    pub blockers: Vec<Blocker>,
    /// Every waiver in recorded order, with what it sets aside.
    pub waived: Vec<WaiverNow>,
    /// Every signature, approval and accepted value, held against its evidence.
    pub statements: Vec<StatementNow>,
    /// Orders that must not be cut yet, by folded number, with the blockers in their way.
    pub held_orders: BTreeMap<String, Vec<Blocker>>,
    /// The job was stopped and the engine set aside.
    pub stored: bool,
}

impl Standing {
    /// The stage as printed; "released" is only said of an engine that nothing blocks any more.
    #[must_use]
    pub fn words(&self) -> &'static str {
        if self.stored {
            return "stored, not authorised";
        }
        if !self.is_checked_in {
            return "not checked in";
        }
        match (self.stage, self.blockers.is_empty()) {
            (Stage::Released, false) => "awaiting release",
            (stage, _) => stage.word(),
        }
    }

    /// Work is agreed on a surface, and the agreement rests on what is known now.
    #[must_use]
    pub fn is_agreed(&self, job: &Job, key: SurfaceKey) -> bool {
        job.agreed
            .get(&key)
            .is_some_and(|agreed| self.statements.iter().all(|now| now.fact != agreed.fact || now.stands()))
    }

    /// The blockers that stand in the way of a work order; empty for one that may be cut, and for what came back.
    #[must_use]
    pub fn in_the_way(&self, order: &Order) -> &[Blocker] {
        self.held_orders.get(&fold_name(&order.number)).map_or(&[], Vec::as_slice)
    }

    /// The same in words, each in a line with what to do.
    #[must_use]
    pub fn holds(&self, order: &Order) -> Vec<String> {
        held_orders::reasons(self.in_the_way(order))
    }

    /// What it waits for now: the blockers of its gate, what went wrong already at a later one, and what must be known before.
    pub fn waits(&self) -> impl Iterator<Item = &Blocker> {
        self.blockers.iter().filter(|blocker| self.is_waited_for(blocker))
    }

    /// It is of the gate the engine stands at, went wrong already at a later one, or must be known before.
    #[must_use]
    pub fn is_waited_for(&self, blocker: &Blocker) -> bool {
        blocker.stage == self.stage || blocker.has_happened() || blocker.is_asked_early()
    }

    /// The blockers of the gate the engine stands at.
    pub fn here(&self) -> impl Iterator<Item = &Blocker> {
        self.blockers.iter().filter(|blocker| blocker.stage == self.stage)
    }
}

/// Asks every rule of every gate; statements that rest on other evidence do not count, and waived blockers are set
/// aside. A signature is asked for when nothing else keeps its gate or an earlier one shut: before that there is
/// nothing to sign.
#[must_use]
pub fn standing(job: &Job, judgement: &Judgement) -> Standing {
    let seen = Seen::of(job, judgement);
    let statements = statements::weigh(&seen);
    let heard = statements::heard(job, &statements);
    let (waived, mut blockers) = waived::apply(&seen, all_blockers(&heard, judgement));
    let shut = blockers.first().map(|first| first.stage);
    blockers.extend(
        signed::next_signature(&heard).filter(|signature| shut.is_none_or(|stage| signature.stage < stage)),
    );
    blockers.sort_by_key(|blocker| blocker.stage);
    for blocker in &mut blockers {
        statements::remind(job, &statements, blocker);
    }
    let held_orders = held_orders::held(&heard, &blockers);
    for blocker in &mut blockers {
        held_orders::say(job, &held_orders, blocker);
    }
    let stage = blockers.first().map_or(Stage::Released, |first| first.stage);
    let is_checked_in = job.check_in.is_some();
    let stored = heard.stored().is_some();
    Standing { stage, is_checked_in, blockers, waived, statements, held_orders, stored }
}

/// What every rule of every gate says, gates in order; signatures and waivers aside.
fn all_blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let mut blockers: Vec<Blocker> = RULES.iter().flat_map(|rule| rule(job, judgement)).collect();
    blockers.sort_by_key(|blocker| blocker.stage);
    blockers
}
