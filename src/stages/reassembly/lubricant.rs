//! Reassembly: a joint is tightened with the lubricant its torque is for. A dry value with a waxy lubricant clamps half
//! as much again and more; a value for oil used dry leaves a quarter of the clamp out.
//!
//! What clamps alike is one class: engine oil is oil. Of what is in no class, or in two, nobody here knows: it is asked.

use crate::judgement::Judgement;
use crate::sheets::{clamp_instead, same_name};
use crate::shop::{Job, Tightened};
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, in_place, joints, standing};
use std::collections::BTreeSet;

/// Words and their class by the torque factors of trade notes D: dry, oil, moly and wax; what locks or seals is apart, as
/// it is asked for by name.
const CLASSES: [(&str, &str); 16] = [
    ("dry", "dry"),
    ("unlubricated", "dry"),
    ("oil", "oil"),
    ("oiled", "oil"),
    ("moly", "moly or wax"),
    ("molybdenum", "moly or wax"),
    ("wax", "moly or wax"),
    ("waxy", "moly or wax"),
    ("waxed", "moly or wax"),
    ("seize", "anti-seize"),
    ("antiseize", "anti-seize"),
    ("locker", "thread locker"),
    ("threadlocker", "thread locker"),
    ("sealant", "sealant"),
    ("sealer", "sealant"),
    ("seal", "sealant"),
];

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::Lubricant);
    let open = joints(job).filter(|(group, _)| !group.lubricant.is_empty()).filter_map(|(group, joint)| {
        let joint = joint?;
        let alike = |entry: &Tightened| clamps_alike(&entry.lubricant, &group.lubricant);
        // Nothing gets under a tight head: another one is on it once it was let go. What is the same can be said later.
        let other = in_place(group, joint).find(|(entry, _)| alike(entry) == Some(false));
        let unsure = || standing(group, joint).into_iter().find(|(entry, _)| alike(entry).is_none());
        let (entry, places) = other.or_else(unsure)?;
        let alike = alike(entry);
        let seen = format!(
            "tightened with {}{} ({}), its torque is for {}",
            entry.lubricant,
            at(&places),
            entry.said.words(),
            group.lubricant
        );
        let effect = clamp_instead(&entry.lubricant, &group.lubricant);
        let effect = effect.map(|effect| format!("; {effect}")).unwrap_or_default();
        let what = match alike {
            Some(_) => format!(
                "{seen}{effect}: slacken it, tighten it as the sheet says, and say with that (\"slackened\") what was seen of its \
                 bolts"
            ),
            None => format!(
                "{seen}{effect}: is that the same? if it is, withdraw that drop and say it again in the sheet's word; if not, slacken it, and \
                 tighten it as the sheet says"
            ),
        };
        Some(line.one(Actor::Bench, named(&group.group, &group.name), what))
    });
    open.collect()
}

/// Do two lubricants clamp alike? `None` where their words do not say.
fn clamps_alike(one: &str, other: &str) -> Option<bool> {
    if same_name(one, other) {
        return Some(true);
    }
    Some(class(one)? == class(other)?)
}

/// The one class that the words of a lubricant name.
fn class(words: &str) -> Option<&'static str> {
    let words = words.to_lowercase();
    let words: BTreeSet<&str> = words.split(|c: char| !c.is_alphanumeric()).collect();
    let mut classes = CLASSES.iter().filter(|(word, _)| words.contains(word)).map(|(_, class)| *class);
    let first = classes.next()?;
    classes.all(|class| class == first).then_some(first)
}
