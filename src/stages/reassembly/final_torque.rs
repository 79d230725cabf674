//! Reassembly: the final torque that was read on a plain joint is the sheet's, within what a good wrench scatters.
//!
//! A click wrench holds four percent of its reading (trade notes D and F3, recalled there). A joint that is tightened by
//! angle is never checked with a wrench, so nothing is read of it. Where the reading is far from what such a thread
//! usually takes, that is said beside: a wrong unit looks like it. The usual ranges alone judge nothing.

use crate::judgement::Judgement;
use crate::metrology::Torque;
use crate::sheets::{FastenerSize, Fasteners, same_name, usual_torque};
use crate::shop::Job;
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, joints, standing};
use std::collections::BTreeSet;

/// Percent of the sheet's torque that a reading may be off.
const PERCENT: i128 = 4;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::FinalTorque);
    let plain = joints(job).filter(|(group, _)| group.angles.is_empty() && !group.single_use);
    let open = plain.filter_map(|(group, joint)| {
        let faults: Vec<String> = standing(group, joint?)
            .into_iter()
            .filter(|(entry, _)| !entry.final_reading.is_empty())
            .filter_map(|(entry, places)| {
                let off = off(group, &places, &entry.final_reading)?;
                Some(format!("final {}{} ({}): {off}", entry.final_reading, at(&places), entry.said.words()))
            })
            .collect();
        let name = named(&group.group, &group.name);
        (!faults.is_empty()).then(|| line.one(Actor::Bench, name, faults.join("; ")))
    });
    open.collect()
}

/// What is the matter with a reading; `None` where every size at these places is tightened so.
fn off(group: &Fasteners, places: &BTreeSet<&str>, written: &str) -> Option<String> {
    let unit = group.torque_unit.symbol();
    let Some(read) = Torque::read(written, unit) else {
        return Some(format!("say the torque that was read, with its unit, {unit} for instance"));
    };
    let there = |size: &&FastenerSize| {
        size.places.is_empty() || size.places.iter().any(|known| places.iter().any(|p| same_name(known, p)))
    };
    let faults = group.sizes.iter().filter(there).filter_map(|size| {
        let digits = group.stages_of(size).last()?;
        let stated = Torque::parse(digits, unit)?;
        (!read.is_within(PERCENT, stated)).then_some((size, digits))
    });
    let faults: Vec<(&FastenerSize, &String)> = faults.collect();
    let sizes = group.sizes.iter().filter(there).count();
    // One reading for several sizes speaks for one of them.
    let (size, digits) = faults.first().filter(|_| faults.len() == sizes)?;
    let usual = usual_torque(group, size, read).map(|usual| format!("; {usual}")).unwrap_or_default();
    Some(format!(
        "the sheet says {digits} {unit}, and a good wrench is within {PERCENT} percent{usual}: tighten it as the sheet \
         says, or correct what was written"
    ))
}
