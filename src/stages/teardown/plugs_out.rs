//! Teardown: every plug is out and counted, so that none is left in with the chips behind it.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::plugs;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Teardown, BlockerRule::PlugsOut);
    let open = plugs(job).into_iter().filter_map(|group| {
        let short = group.short();
        (!short.is_empty()).then(|| {
            line.one(
                Actor::Bench,
                group.name,
                format!("{} counted: take them out and count them", short.join("; ")),
            )
        })
    });
    open.collect()
}
