//! Reassembly: locking pins in hand are locking pins out; one left in stops the first turn.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::pins;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::PinsIn);
    let open = pins(job).into_iter().filter_map(|group| {
        let short: Vec<String> = group
            .sizes
            .iter()
            .enumerate()
            .filter(|(size, (_, has))| group.back_in(*size) != *has)
            .map(|(size, (name, has))| format!("{} of {has} {name}", group.back_in(size)))
            .collect();
        (!short.is_empty()).then(|| {
            line.one(
                Actor::Bench,
                group.name,
                format!(
                    "{} out of the engine again and back in the box: find the rest, one left in stops the first turn",
                    short.join("; ")
                ),
            )
        })
    });
    open.collect()
}
