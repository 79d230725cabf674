//! Reassembly: single-use bolts are new. They were tightened past yield; used again their clamp is unknown.

use crate::facts::{PartState, PieceState};
use crate::judgement::Judgement;
use crate::sheets::Fasteners;
use crate::shop::{Job, Joint, Tightened};
use crate::stages::bags;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, bolts, joints};

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

/// Used ones are in until they are loosened: what is written later of the same bolts makes them no newer.
fn tightened_used(group: &Fasteners, joint: &Joint) -> Option<String> {
    let last = group.stage_count().max(1);
    let speaks = |entry: &&Tightened, place: &str| (1..=last).any(|stage| entry.speaks(stage, place));
    let mut used = joint.entries.iter().filter(|entry| entry.bolts == PartState::Used);
    let entry = used.find(|entry| bolts(group).iter().any(|place| speaks(entry, place)))?;
    let places = bolts(group).into_iter().filter(|place| speaks(&entry, place)).collect();
    Some(format!(
        "used bolts{} ({}): they are single use, fit new ones and tighten again",
        at(&places),
        entry.said.words()
    ))
}
