//! Inspection: every place the sheet asks for as received has a reading.

use crate::judgement::{Judgement, Verdict};
use crate::shop::{Condition, Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::before_stripping::is_before_stripping;
use crate::stages::lines::{Line, positions};
use std::collections::BTreeMap;

pub(in crate::stages) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Inspection, BlockerRule::Measured);
    let open = missing(job, judgement, |verdict| {
        is_as_found(verdict.key.condition) && !is_before_stripping(verdict) && !is_given_up(job, verdict)
    });
    open.into_iter()
        .map(|(about, places)| line.one(Actor::Bench, about, format!("measure {places}")))
        .collect()
}

/// What is measured is given up, and is asked nothing more; a pair where one of its members does. What it
/// sat in is measured for the piece that comes.
pub(super) fn is_given_up(job: &Job, verdict: &Verdict) -> bool {
    let goes = |key: SurfaceKey| job.is_given_up(job.part_of(key));
    let pair = job.sheet.as_ref().and_then(|sheet| sheet.pair(&verdict.feature));
    let Some(pair) = pair.filter(|_| verdict.key.characteristic.is_of_pairs()) else {
        return goes(verdict.key.surface);
    };
    let position = verdict.key.surface.position;
    pair.members().any(|member| goes(SurfaceKey { feature: member.feature, position }))
}

/// In the condition it came in, cleaned or not.
pub(super) fn is_as_found(condition: Condition) -> bool {
    condition.operations() == 0 && !condition.is_at_assembly()
}

/// Missing places, in the sheet's order; positions of one feature that miss the same places are one line, as a
/// person goes from one to the next. A questioned place has its own blocker, which says what to do about it.
pub(in crate::stages) fn missing(
    job: &Job,
    judgement: &Judgement,
    which: impl Fn(&Verdict) -> bool,
) -> Vec<(String, String)> {
    let mut by_surface: BTreeMap<(SurfaceKey, &str), Vec<&str>> = BTreeMap::new();
    for verdict in judgement.standing().filter(|v| v.is_incomplete() && which(v)) {
        // Rows of a feature share its name, a pair has its own.
        let known = by_surface.entry((verdict.key.surface, &verdict.feature)).or_default();
        // In the order they are measured in; rows of one surface ask for the same places.
        for place in verdict.missing.iter().filter(|place| !place.ends_with("(questioned)")) {
            let place = without_position(job, verdict, place);
            if !known.contains(&place) {
                known.push(place);
            }
        }
    }
    let mut lines: Vec<(&str, Vec<SurfaceKey>, String)> = Vec::new();
    for ((key, name), places) in by_surface.into_iter().filter(|(_, places)| !places.is_empty()) {
        let places = places.join(", ");
        match lines.iter_mut().find(|(known, _, same)| *known == name && *same == places) {
            Some((_, keys, _)) => keys.push(key),
            None => lines.push((name, vec![key], places)),
        }
    }
    let named = |(name, keys, places): (&str, Vec<SurfaceKey>, String)| {
        (format!("{name}{}", positions(job, &keys)), places)
    };
    lines.into_iter().map(named).collect()
}

/// A member of a pair without the position that the pair's own name says already.
fn without_position<'a>(job: &Job, verdict: &Verdict, member: &'a str) -> &'a str {
    let key = verdict.key.surface;
    let Some(feature) = job.feature(key).filter(|feature| feature.key != verdict.feature) else {
        return member;
    };
    let position = feature.positions.get(key.position).map_or("", String::as_str);
    member.strip_suffix(position).map_or(member, str::trim_end)
}
