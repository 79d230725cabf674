//! What is already done, in words beside the fields: parts that are off, bags that are counted, stages and checks.

use crate::facts::{CheckResult, PieceState};
use crate::pages::sections::stages_words;
use crate::sheets::{Check, Fasteners, same_name};
use crate::shop::{Bag, Job, Joint};

/// Parts that come off at teardown and that nobody has taken off yet: `piston 1, 2; rod 4`.
pub(super) fn still_on(job: &Job) -> String {
    let Some(sheet) = &job.sheet else { return String::new() };
    let mut names = Vec::new();
    for (index, part) in sheet.parts.iter().enumerate() {
        let lives = job.parts.iter().filter(|((kind, _), _)| *kind == index);
        let on: Vec<_> =
            lives.filter(|(_, life)| !life.is_accounted_for()).map(|(place, _)| *place).collect();
        if part.strip && job.concerns(&part.scopes) && !on.is_empty() {
            names.push(job.parts_name(&on));
        }
    }
    names.join("; ")
}

/// Was every piece of this part kind that is there looked at?
pub(super) fn is_looked_at(job: &Job, part: usize) -> bool {
    let mut lives = job.parts.iter().filter(|((kind, _), _)| *kind == part).peekable();
    lives.peek().is_some() && lives.all(|(_, life)| life.looked.is_some() || life.missing.is_some())
}

/// `10 bagged, 8 used`; empty where nobody counted.
pub(super) fn counted(job: &Job, group: &str, size: usize) -> String {
    let bag = job.bags.values().find(|bag: &&Bag| same_name(&bag.group, group));
    let of_size = bag.into_iter().flat_map(|bag| &bag.counts).filter(|((of, _), _)| *of == size);
    let words = |(key, count): (&(usize, PieceState), &crate::shop::PieceCount)| {
        format!("{} {}", count.count, key.1.word())
    };
    of_size.map(words).collect::<Vec<_>>().join(", ")
}

/// `yes (LM, 2026-03-02 09:15)`: the latest answer to a check; empty where there is none.
pub(super) fn answered(job: &Job, check: &Check) -> String {
    let answers =
        job.checks.iter().find(|(key, _)| same_name(key, &check.key)).and_then(|(_, answers)| answers.last());
    answers.map_or_else(String::new, |answer| {
        let why = if answer.result == CheckResult::Yes { "" } else { answer.why.as_str() };
        let why = if why.is_empty() { String::new() } else { format!(", {why}") };
        format!("{}{why} ({})", answer.result.word(), answer.said.words())
    })
}

/// `stages 2, 3 not yet`; empty where every stage is done.
pub(super) fn stages_left(job: &Job, group: &Fasteners) -> String {
    let joint = job.joints.values().find(|joint: &&Joint| same_name(&joint.group, &group.group));
    let missing = joint.cloned().unwrap_or_default().missing(group);
    let stages: Vec<String> = missing.iter().map(|(stage, _)| stage.to_string()).collect();
    if stages.is_empty() { String::new() } else { format!("; not yet done: stage {}", stages.join(", ")) }
}

/// `30, then 60, then 80 lbf ft, oil`.
pub(super) fn torque(group: &Fasteners) -> String {
    let single = if group.single_use { ", single use" } else { "" };
    format!("{}, {}{single}", stages_words(group), group.lubricant)
}
