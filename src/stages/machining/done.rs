//! Machining: all agreed work is done.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let open = job.agreed.keys().filter_map(|key| Some((key, job.awaited_work(*key)?)));
    let items = open.map(|(key, agreed)| {
        let to = agreed.finished.map_or_else(String::new, |size| format!(" to {}", size.show(unit)));
        (*key, Actor::Machinist, format!("{}{to}: agreed, not done", agreed.operation))
    });
    Line::of(Stage::Machining, BlockerRule::Done).surfaces(job, items)
}
