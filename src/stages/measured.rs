//! Inspection: every place the sheet asks for as received has a reading.

use crate::judgement::{Judgement, Verdict};
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use std::collections::BTreeMap;

pub(super) fn blockers(_: &Job, judgement: &Judgement) -> Vec<Blocker> {
    missing(judgement, |verdict| verdict.key.condition.operations() == 0)
        .into_iter()
        .map(|(name, places)| Blocker {
            stage: Stage::Inspection,
            rule: BlockerRule::Measured,
            actor: Actor::Bench,
            about: name,
            what: format!("measure {}", places.join(", ")),
        })
        .collect()
}

/// Missing places by surface, in the sheet's order; rows of one surface ask for the same places.
pub(super) fn missing(judgement: &Judgement, which: impl Fn(&Verdict) -> bool) -> Vec<(String, Vec<String>)> {
    let mut order = Vec::new();
    let mut places: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for verdict in judgement.standing().filter(|v| v.is_incomplete() && which(v)) {
        let known = places.entry(&verdict.name).or_insert_with(|| {
            order.push(verdict.name.clone());
            Vec::new()
        });
        // A questioned place has its own blocker, which says what to do about it.
        let new = verdict.missing.iter().filter(|place| !place.ends_with("(questioned)"));
        for place in new {
            if !known.contains(place) {
                known.push(place.clone());
            }
        }
    }
    let found =
        order.into_iter().filter_map(|name| places.get(name.as_str()).cloned().map(|places| (name, places)));
    found.filter(|(_, places)| !places.is_empty()).collect()
}
