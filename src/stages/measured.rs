//! Inspection: every place the sheet asks for as received has a reading.

use crate::judgement::{Judgement, Verdict};
use crate::shop::{Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    missing(job, judgement, |verdict| verdict.key.condition.operations() == 0)
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

/// Missing places, in the sheet's order; positions of one feature that miss the same places are one line, as a
/// person goes from one to the next. A questioned place has its own blocker, which says what to do about it.
pub(super) fn missing(
    job: &Job,
    judgement: &Judgement,
    which: impl Fn(&Verdict) -> bool,
) -> Vec<(String, String)> {
    let mut by_surface: BTreeMap<SurfaceKey, (&Verdict, BTreeSet<&String>)> = BTreeMap::new();
    for verdict in judgement.standing().filter(|v| v.is_incomplete() && which(v)) {
        let known =
            &mut by_surface.entry(verdict.key.surface).or_insert_with(|| (verdict, BTreeSet::new())).1;
        known.extend(verdict.missing.iter().filter(|place| !place.ends_with("(questioned)")));
    }
    let mut lines: Vec<(usize, Vec<&str>, String)> = Vec::new();
    for (key, (verdict, places)) in &by_surface {
        // The verdict lists places in the order they are measured in; the set only knows which.
        let ordered: Vec<&str> =
            verdict.missing.iter().filter(|p| places.contains(p)).map(String::as_str).collect();
        let position =
            job.feature(*key).and_then(|f| f.positions.get(key.position)).map_or("", String::as_str);
        let places = ordered.join(", ");
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
