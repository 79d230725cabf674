//! Teardown: every bag is counted.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::fasteners;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Teardown, BlockerRule::Bagged);
    let open = fasteners(job).into_iter().filter_map(|group| {
        let short = group.short();
        (!short.is_empty()).then(|| {
            line.one(
                Actor::Bench,
                group.name,
                format!(
                    "{} counted: bag and count what came out; say which are lost or broken",
                    short.join("; ")
                ),
            )
        })
    });
    open.collect()
}
