//! Reassembly: single-use bolts are new. They were tightened past yield; used again their clamp is unknown.

use crate::facts::PieceState;
use crate::judgement::Judgement;
use crate::sheets::Fasteners;
use crate::shop::{Job, Joint};
use crate::stages::bags;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, joints};

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::NewBolts);
    let bags = bags::fasteners(job);
    let open = joints(job).filter(|(group, _)| group.single_use).filter_map(|(group, joint)| {
        let name = bags::named(&group.group, &group.name);
        let bag = bags.iter().find(|bag| bag.name == name)?;
        let back: u32 = (0..bag.sizes.len()).map(|size| bag.count(size, PieceState::Used)).sum();
        let what = joint.and_then(|joint| tightened_used(group, joint)).or_else(|| {
            (back > 0).then(|| format!("{back} marked used: they are single use, fit new ones"))
        })?;
        Some(line.one(Actor::Bench, name, what))
    });
    open.collect()
}

fn tightened_used(group: &Fasteners, joint: &Joint) -> Option<String> {
    let (entry, places) = joint.used(group)?;
    Some(format!(
        "used bolts{} ({}): they are single use; let the joint go there, fit new ones, tighten all stages again and say with that that the used ones are out (\"slackened\")",
        at(&places),
        entry.said.words()
    ))
}
