//! Teardown: every bag is counted.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::fasteners;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Teardown, BlockerRule::Bagged);
    let open = fasteners(job).into_iter().filter_map(|group| {
        let (short, over) = (group.short(), group.over());
        let mut faults = Vec::new();
        if !short.is_empty() {
            let short = short.join("; ");
            faults
                .push(format!("{short} counted: bag and count what came out; say which are lost or broken"));
        }
        if !over.is_empty() {
            let over = over.join("; ");
            faults.push(format!(
                "{over} counted, more than it has places for: count again, one may belong elsewhere"
            ));
        }
        (!faults.is_empty()).then(|| line.one(Actor::Bench, group.name, faults.join("; ")))
    });
    open.collect()
}
