//! Machining: what was worked on is measured again, completely, and passes.
//!
//! The machinist's word is not a measurement. Beyond and proven goes back to the machinist; beyond and not
//! proven asks for repeats and sends nothing back.

use crate::judgement::{Judgement, Verdict};
use crate::shop::{Condition, Job};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::{blocker_for, missing};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Machining, BlockerRule::Remeasured);
    let worked = |verdict: &Verdict| is_after_work(verdict.key.condition);
    let lines = missing(job, judgement, worked).into_iter();
    let open = lines
        .map(|(about, places)| line.one(Actor::Bench, about, format!("worked on: measure again {places}")));
    let failed = judgement.standing().filter(|v| worked(v) && v.is_beyond()).filter_map(|verdict| {
        let back = if verdict.is_metal_gone(job) {
            let what =
                "does not pass after work, and the metal is gone: the next size, new metal or another part";
            (Actor::Owner, what)
        } else {
            (Actor::Machinist, "does not pass after work; it goes back")
        };
        blocker_for(job, verdict, Stage::Machining, BlockerRule::Remeasured, back)
    });
    open.chain(failed).collect()
}

const fn is_after_work(condition: Condition) -> bool {
    matches!(condition, Condition::AfterWork(_))
}
