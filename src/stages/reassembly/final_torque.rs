//! Reassembly: the final torque that was read on a joint is the sheet's, within what a good wrench scatters, and so is the
//! angle.
//!
//! A click wrench holds four percent of its reading (trade notes D and F3, recalled there); an angle is set and read by eye
//! to a few degrees (common practice). A joint that is tightened by angle is never checked with a wrench, so no torque is
//! held against it. Where the reading is far from what such a thread usually takes, that is said beside: a wrong unit looks
//! like it. The usual ranges alone judge nothing.
//!
//! What went too far stays so, whatever is written later: its bolts may be longer than they were.

use crate::judgement::Judgement;
use crate::metrology::{Decimal, Torque};
use crate::sheets::{FastenerSize, Fasteners, same_name, usual_torque};
use crate::shop::{Job, Joint, Tightened};
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, joints, standing};
use std::collections::BTreeSet;

/// Percent of the sheet's torque that a reading may be off.
const PERCENT: i128 = 4;
/// Millionths of a degree that an angle may be off.
const DEGREES: i128 = 5_000_000;

/// What a reading says beside the sheet.
struct Off {
    /// It is further than the sheet says, for all it can speak of.
    too_far: bool,
    /// What the sheet says, and what is known of such a thread.
    sheet: String,
}

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::FinalTorque);
    let open = joints(job).filter_map(|(group, joint)| {
        let joint = joint?;
        let mut faults = strained(group, joint);
        faults.extend(other(group, joint));
        let name = named(&group.group, &group.name);
        (!faults.is_empty()).then(|| line.one(Actor::Bench, name, faults.join("; ")))
    });
    open.collect()
}

/// Bolts that were tightened too far and are in still, or that nobody looked at since.
fn strained(group: &Fasteners, joint: &Joint) -> Vec<String> {
    let is_past = |entry: &Tightened| {
        let places = group.bolt_places().into_iter().filter(|place| entry.is_at(place)).collect();
        off(group, entry, &places).is_some_and(|off| off.too_far)
    };
    let mut found: Vec<(&Tightened, BTreeSet<&str>)> = Vec::new();
    for place in group.bolt_places() {
        let Some(entry) = joint.strained(group, place, is_past) else { continue };
        match found.iter_mut().find(|(known, _)| std::ptr::eq(*known, entry)) {
            Some((_, places)) => {
                places.insert(place);
            }
            None => found.push((entry, BTreeSet::from([place]))),
        }
    }
    let anew = if group.single_use || !group.angles.is_empty() {
        "let it go, take new bolts through all stages, and say with them (\"slackened\") that the others are out"
    } else {
        "let it go, look at its bolts (length against another, neck, threads; new ones where in doubt), tighten it anew, and \
         say with that (\"slackened\") what was seen"
    };
    let said = |(entry, places): (&Tightened, BTreeSet<&str>)| {
        let sheet = off(group, entry, &places)?.sheet;
        Some(format!(
            "final {}{} ({}): {sheet}. It was tightened too far, and no later reading takes that back: {anew}; what was only \
             written wrong is withdrawn",
            entry.final_reading,
            at(&places),
            entry.said.words()
        ))
    };
    found.into_iter().filter_map(said).collect()
}

/// What is short of the sheet, or cannot be read.
fn other(group: &Fasteners, joint: &Joint) -> Vec<String> {
    let entries = standing(group, joint).into_iter();
    let faults = entries.filter_map(|(entry, places)| {
        let off = off(group, entry, &places).filter(|off| !off.too_far)?;
        let (read, by) = (&entry.final_reading, entry.said.words());
        Some(format!("final {read}{} ({by}): {}", at(&places), off.sheet))
    });
    faults.collect()
}

/// What is the matter with the final reading of an entry; `None` where every size at these places is tightened so, and where
/// nothing was read that can be held against the sheet.
fn off(group: &Fasteners, entry: &Tightened, places: &BTreeSet<&str>) -> Option<Off> {
    if entry.final_reading.is_empty() {
        None
    } else if group.angles.is_empty() {
        off_torque(group, entry, places)
    } else {
        off_angle(group, &entry.final_reading)
    }
}

fn off_torque(group: &Fasteners, entry: &Tightened, places: &BTreeSet<&str>) -> Option<Off> {
    let unit = group.torque_unit.symbol();
    let Some(read) = Torque::read(&entry.final_reading, unit) else {
        let sheet = format!("say the torque that was read, with its unit, {unit} for instance");
        return Some(Off { too_far: false, sheet });
    };
    let there = |size: &&FastenerSize| {
        size.places.is_empty() || size.places.iter().any(|known| places.iter().any(|p| same_name(known, p)))
    };
    let faults = group.sizes.iter().filter(there).filter_map(|size| {
        let digits = last_of(group.stages_of(size), &entry.stages)?;
        let stated = Torque::parse(digits, unit)?;
        (!read.is_within(PERCENT, stated)).then_some((size, digits, read > stated))
    });
    let faults: Vec<(&FastenerSize, &String, bool)> = faults.collect();
    let sizes = group.sizes.iter().filter(there).count();
    // One reading for several sizes speaks for one of them.
    let (size, digits, _) = faults.first().filter(|_| faults.len() == sizes)?;
    let usual = usual_torque(group, size, read).map(|usual| format!("; {usual}")).unwrap_or_default();
    let too_far = faults.iter().all(|(_, _, further)| *further);
    let says =
        format!("the sheet says {digits} {unit}, and a good wrench is within {PERCENT} percent{usual}");
    let what = ": tighten it as the sheet says, or correct what was written";
    Some(Off { too_far, sheet: if too_far { says } else { format!("{says}{what}") } })
}

/// The torque an entry ends at: of the last of its stages.
fn last_of<'t>(torques: &'t [String], stages: &[usize]) -> Option<&'t String> {
    let done = torques.iter().zip(1..).filter(|(_, stage)| stages.is_empty() || stages.contains(stage));
    done.last().map(|(digits, _)| digits)
}

/// An angle is the last turn, or all turns together.
fn off_angle(group: &Fasteners, written: &str) -> Option<Off> {
    let read = degrees(written)?;
    let stated: Vec<i128> =
        group.angles.iter().filter_map(|digits| Some(Decimal::parse(digits)?.millionths())).collect();
    let (last, all) = (*stated.last()?, stated.iter().sum::<i128>());
    if (read - last).abs() <= DEGREES || (read - all).abs() <= DEGREES {
        return None;
    }
    let turns: Vec<String> = group.angles.iter().map(|angle| format!("{angle} deg")).collect();
    let says = format!("the sheet says {}", turns.join(", then "));
    let too_far = read > all;
    let what = ": loosen it and take new bolts through all stages, or correct what was written";
    Some(Off { too_far, sheet: if too_far { says } else { format!("{says}{what}") } })
}

/// `95 deg`, in millionths; `None` of anything else.
fn degrees(written: &str) -> Option<i128> {
    let (digits, unit) = Decimal::split(written);
    let unit = unit.trim_end_matches('.').to_lowercase();
    let known = ["deg", "degree", "degrees", "°"].contains(&unit.as_str());
    known.then(|| Decimal::parse(digits)).flatten().map(Decimal::millionths)
}
