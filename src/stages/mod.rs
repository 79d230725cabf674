//! Stages: where an engine stands, derived from facts. Nobody moves anything.
//!
//! Six gates in order. Each gate is a list of rules, one file a rule; a rule gives [`Blocker`]s that say what
//! is missing and who must act. The stage is the first gate with a blocker, so a re-measure that fails, or a
//! reading that is withdrawn, takes the engine back by itself. No gate is a count.
//!
//! The gates of teardown have no rule yet: what comes off and where it lies is not recorded in this version.
//! Reassembly and release ask for a signature only.

mod agreed;
mod blocker;
mod decided;
mod done;
mod matters;
mod measured;
mod people;
mod questioned;
mod received;
mod remeasured;
mod seen;
mod signable;
mod signed;
mod statements;
mod waived;

pub use blocker::{Actor, Blocker, BlockerRule, Stage};
pub use people::person;
pub use signable::{Quote, Signable, signables};
pub use statements::{Act, StatementNow};
pub use waived::{WaiverNow, WaiverState};

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::seen::Seen;

/// Where an engine stands.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The first gate with a blocker.
    pub stage: Stage,
    /// Every blocker of every gate that nobody has set aside, gates in order.
    pub blockers: Vec<Blocker>,
    /// Every waiver in recorded order, with what it sets aside.
    pub waived: Vec<WaiverNow>,
    /// Every signature, approval and accepted value, held against its evidence.
    pub statements: Vec<StatementNow>,
}

impl Standing {
    /// The stage as printed; "released" is only said of an engine that nothing blocks any more.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match (self.stage, self.blockers.is_empty()) {
            (Stage::Released, false) => "awaiting release",
            (stage, _) => stage.word(),
        }
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
    let stage = blockers.first().map_or(Stage::Released, |first| first.stage);
    Standing { stage, blockers, waived, statements }
}

/// What every rule of every gate says, gates in order; signatures and waivers aside.
fn all_blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let rules: [fn(&Job, &Judgement) -> Vec<Blocker>; 7] = [
        received::blockers,
        measured::blockers,
        questioned::blockers,
        decided::blockers,
        agreed::blockers,
        done::blockers,
        remeasured::blockers,
    ];
    let mut blockers: Vec<Blocker> = rules.iter().flat_map(|rule| rule(job, judgement)).collect();
    blockers.sort_by_key(|blocker| blocker.stage);
    blockers
}
