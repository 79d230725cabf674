//! Reassembly: what the sheet says is always new is new, and counted in: nuts, a washer, plugs of a size.

use crate::facts::{PartState, PieceState};
use crate::judgement::Judgement;
use crate::sheets::{Fasteners, fold_name};
use crate::shop::{Bag, Job, Joint};
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{joints, standing};

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::AlwaysNew);
    let open = joints(job).filter(|(group, _)| !group.single_use).filter_map(|(group, joint)| {
        let mut faults = counted(group, job.bags.get(&fold_name(&group.group)));
        faults.extend(joint.and_then(|joint| tightened_used(group, joint)));
        let name = named(&group.group, &group.name);
        (!faults.is_empty()).then(|| line.one(Actor::Bench, name, faults.join("; ")))
    });
    open.collect()
}

fn counted(group: &Fasteners, bag: Option<&Bag>) -> Vec<String> {
    let count = |index, state| bag.map_or(0, |bag| bag.count(index, state));
    let mut faults = Vec::new();
    for (index, (what, _)) in group.counted().enumerate() {
        let used = count(index, PieceState::Used);
        if used > 0 && group.is_always_new(what) {
            faults.push(format!("{used} {what} marked used: they are always new, fit new ones"));
        }
    }
    for (index, (what, has)) in group.counted().enumerate().skip(group.sizes.len()) {
        let new = count(index, PieceState::Replaced);
        if new != has {
            faults
                .push(format!("{new} of {has} new {what} counted in: fit new ones, and count them replaced"));
        }
    }
    faults
}

/// Every piece of the group is always new, and was tightened as if it were not.
fn tightened_used(group: &Fasteners, joint: &Joint) -> Option<String> {
    let entries = standing(group, joint);
    let (entry, _) = entries.iter().find(|(entry, _)| entry.bolts == PartState::Used)?;
    let all_new = group.sizes.iter().all(|size| group.is_always_new(&size.size));
    all_new
        .then(|| format!("used ones tightened ({}): they are always new, fit new ones", entry.said.words()))
}
