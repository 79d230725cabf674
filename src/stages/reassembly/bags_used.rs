//! Reassembly: bags are used up, and what is left over is explained.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::{Group, fasteners, plugs};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::BagsUsed);
    let bolts = fasteners(job).into_iter().map(|group| (not_in(&group), group));
    // Plugs that are not in have their own rule; here it is asked what is left of those that are.
    let plugs =
        plugs(job).into_iter().filter(|group| not_in(group).is_empty()).map(|group| (Vec::new(), group));
    let open = bolts.chain(plugs).filter_map(|(mut faults, group)| {
        faults.extend(left(&group));
        faults.extend(too_many(&group));
        faults.extend((0..group.sizes.len()).filter_map(|size| group.unfit(size)));
        (!faults.is_empty()).then(|| line.one(Actor::Bench, group.name, faults.join("; ")))
    });
    open.collect()
}

fn not_in(group: &Group<'_>) -> Vec<String> {
    let sizes = group.sizes.iter().enumerate();
    let open = sizes.filter(|(size, (_, has))| group.back_in(*size) != *has);
    open.map(|(size, (name, has))| {
        format!("{} of {has} {name} back in: count them used, or replaced by new ones", group.back_in(size))
    })
    .collect()
}

/// What does not add up is asked: the same piece is not in the engine and lost.
fn too_many(group: &Group<'_>) -> Vec<String> {
    let sizes = group.sizes.iter().enumerate();
    let open = sizes.filter_map(|(size, (name, _))| Some((name, group.too_many(size)?)));
    open.map(|(name, counts)| format!("{counts} {name} do not add up: count them again")).collect()
}

fn left(group: &Group<'_>) -> Vec<String> {
    let sizes = group.sizes.iter().enumerate();
    let open = sizes.filter(|(size, _)| group.left_over(*size) > 0);
    open.map(|(size, (name, _))| {
        format!("{} {name} left over: say scrapped, spare or lost, and why", group.left_over(size))
    })
    .collect()
}
