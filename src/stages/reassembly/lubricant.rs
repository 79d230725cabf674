//! Reassembly: a joint is tightened with the lubricant its torque is for. A dry value with a waxy lubricant clamps half
//! as much again and more; a value for oil used dry leaves a quarter of the clamp out.

use crate::judgement::Judgement;
use crate::sheets::same_name;
use crate::shop::Job;
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, joints, standing};

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::Lubricant);
    let open = joints(job).filter_map(|(group, joint)| {
        let entries = standing(group, joint?);
        let other = |lubricant: &str| !group.lubricant.is_empty() && !same_name(lubricant, &group.lubricant);
        let (entry, places) = entries.iter().find(|(entry, _)| other(&entry.lubricant))?;
        let what = format!(
            "tightened with {}{} ({}), its torque is for {}: slacken it, and tighten it as the sheet says",
            entry.lubricant,
            at(places),
            entry.said.words(),
            group.lubricant
        );
        Some(line.one(Actor::Bench, named(&group.group, &group.name), what))
    });
    open.collect()
}
