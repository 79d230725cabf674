//! Reassembly: what the sheet asks of the assembled engine is measured, and passes.

use crate::judgement::{Judgement, Verdict};
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::{blocker_for, missing};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::AsFitted);
    let fitted = |verdict: &Verdict| verdict.key.condition.is_at_assembly();
    let open = missing(job, judgement, fitted).into_iter();
    let open =
        open.map(|(about, places)| line.one(Actor::Bench, about, format!("measure as fitted {places}")));
    let failed = judgement.standing().filter(|v| fitted(v) && v.is_beyond()).filter_map(|verdict| {
        let proven = (Actor::Bench, "does not pass as fitted; take it apart and put it right");
        blocker_for(job, verdict, Stage::Reassembly, BlockerRule::AsFitted, proven)
    });
    open.chain(failed).collect()
}
