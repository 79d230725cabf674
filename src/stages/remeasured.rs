//! Machining: what was worked on is measured again, completely, and passes.
//!
//! The machinist's word is not a measurement. Beyond and proven goes back to the machinist; beyond and not
//! proven asks for repeats and sends nothing back.

use crate::judgement::{Judgement, Verdict};
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::{decided, measured};

pub(super) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let worked = |verdict: &Verdict| {
        let condition = verdict.key.condition;
        condition.operations() > 0 && !condition.is_at_assembly()
    };
    let missing = measured::missing(job, judgement, worked).into_iter().map(|(about, places)| Blocker {
        stage: Stage::Machining,
        rule: BlockerRule::Remeasured,
        actor: Actor::Bench,
        about,
        what: format!("worked on: measure again {places}"),
    });
    let failed = judgement.standing().filter(|v| worked(v) && v.is_beyond()).filter_map(|verdict| {
        let back = (Actor::Machinist, "does not pass after work; it goes back");
        decided::blocker_for(job, verdict, Stage::Machining, BlockerRule::Remeasured, back)
    });
    missing.chain(failed).collect()
}
