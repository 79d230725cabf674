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
mod measured;
mod questioned;
mod received;
mod remeasured;
mod signed;

pub use blocker::{Actor, Blocker, BlockerRule, Stage};

use crate::judgement::Judgement;
use crate::shop::Job;

/// Where an engine stands.
#[derive(Clone, Debug)]
pub struct Standing {
    /// The first gate with a blocker.
    pub stage: Stage,
    /// Every blocker of every gate, gates in order.
    pub blockers: Vec<Blocker>,
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

/// Asks every rule of every gate. A signature is asked for when nothing else keeps its gate or an earlier one
/// shut: before that there is nothing to sign.
#[must_use]
pub fn standing(job: &Job, judgement: &Judgement) -> Standing {
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
    let shut = blockers.first().map(|first| first.stage);
    blockers.extend(
        signed::next_signature(job).filter(|signature| shut.is_none_or(|stage| signature.stage < stage)),
    );
    blockers.sort_by_key(|blocker| blocker.stage);
    let stage = blockers.first().map_or(Stage::Released, |first| first.stage);
    Standing { stage, blockers }
}
