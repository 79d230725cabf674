//! Teardown: locking pins and tools are counted out like plugs.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::pins;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Teardown, BlockerRule::PinsOut);
    let open = pins(job).into_iter().filter_map(|group| {
        let short = group.short();
        (!short.is_empty()).then(|| {
            line.one(Actor::Bench, group.name, format!("{} counted: count them out", short.join("; ")))
        })
    });
    open.collect()
}
