//! Inspection: every place the sheet asks for as received has a reading.

use crate::judgement::{Judgement, Verdict};
use crate::shop::{Condition, Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use std::collections::BTreeMap;

pub(super) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    missing(job, judgement, |verdict| as_found(verdict.key.condition))
        .into_iter()
        .map(|(about, places)| Blocker {
            stage: Stage::Inspection,
            rule: BlockerRule::Measured,
            actor: Actor::Bench,
            about,
            what: format!("measure {places}"),
        })
        .collect()
}

/// In the condition it came in, cleaned or not.
pub(super) fn as_found(condition: Condition) -> bool {
    condition.operations() == 0 && !condition.is_at_assembly()
}

/// Missing places, in the sheet's order; positions of one feature that miss the same places are one line, as a
/// person goes from one to the next. A questioned place has its own blocker, which says what to do about it.
pub(super) fn missing(
    job: &Job,
    judgement: &Judgement,
    which: impl Fn(&Verdict) -> bool,
) -> Vec<(String, String)> {
    let mut by_surface: BTreeMap<SurfaceKey, Vec<&str>> = BTreeMap::new();
    for verdict in judgement.standing().filter(|v| v.is_incomplete() && which(v)) {
        let known = by_surface.entry(verdict.key.surface).or_default();
        // In the order they are measured in; rows of one surface ask for the same places.
        for place in verdict.missing.iter().filter(|place| !place.ends_with("(questioned)")) {
            if !known.contains(&place.as_str()) {
                known.push(place);
            }
        }
    }
    let mut lines: Vec<(usize, Vec<&str>, String)> = Vec::new();
    for (key, places) in &by_surface {
        let position =
            job.feature(*key).and_then(|f| f.positions.get(key.position)).map_or("", String::as_str);
        let places = places.join(", ");
        if places.is_empty() {
            continue;
        }
        match lines.iter_mut().find(|(feature, _, known)| *feature == key.feature && *known == places) {
            Some((_, positions, _)) => positions.push(position),
            None => lines.push((key.feature, vec![position], places)),
        }
    }
    let name = |feature: usize| {
        job.sheet.as_ref().and_then(|sheet| sheet.features.get(feature)).map_or("", |f| &f.key)
    };
    lines
        .into_iter()
        .map(|(feature, positions, places)| (format!("{} {}", name(feature), positions.join(", ")), places))
        .collect()
}
