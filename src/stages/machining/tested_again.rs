//! Machining: what was ground, welded or straightened is crack tested again, since grinding and pressing make cracks.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::{by_another_way, is_cracked};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let items = parts(job, |_| true).filter_map(|(place, part, life)| {
        // A test that failed has its own blocker.
        let work = life.untested_work(part).filter(|_| !is_cracked(part, life))?;
        let how = by_another_way(part, life);
        let what = format!("{} ({}): crack test it again{how}", work.operation, work.said.written);
        Some((place, Actor::Bench, what))
    });
    Line::of(Stage::Machining, BlockerRule::TestedAgain).parts(job, items)
}
