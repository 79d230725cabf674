//! Reassembly: what bolts clamp was measured under the bolts that are in. New bolts or studs, or a change from one to
//! the other, void every housing reading that was taken under the old ones.

use crate::facts::{BoltState, PartState};
use crate::judgement::Judgement;
use crate::shop::{Job, Place, Reading, SetKey, Surface, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{joints, standing};
use std::collections::BTreeSet;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let mut items = Vec::new();
    for (group, joint) in joints(job) {
        let entries = joint.map_or_else(Vec::new, |joint| standing(group, joint));
        if !entries.iter().any(|(entry, _)| entry.bolts == PartState::New) {
            continue;
        }
        for (key, surface) in job.surfaces.iter().filter(|(key, _)| group.clamps.contains(&key.feature)) {
            let places = under_old_bolts(job, *key, surface);
            if !places.is_empty() {
                let what = format!(
                    "{} tightened with new bolts: measure again under new ones {}",
                    group.group,
                    places.join(", ")
                );
                items.push((*key, Actor::Bench, what));
            }
        }
    }
    Line::of(Stage::Reassembly, BlockerRule::UnderNewBolts).surfaces(job, items)
}

fn under_old_bolts(job: &Job, key: SurfaceKey, surface: &Surface) -> Vec<String> {
    let Some(feature) = job.feature(key) else { return Vec::new() };
    let operations = surface.done_now().count();
    let now = |set: &SetKey| set.instance == surface.instance && set.condition.operations() == operations;
    let readings: Vec<_> =
        surface.sets.iter().filter(|(set, _)| now(set)).flat_map(|(_, set)| &set.readings).collect();
    let is_new = |reading: &Reading| matches!(reading.bolts, Some(BoltState::New | BoltState::Studs));
    let new: BTreeSet<Place> = readings
        .iter()
        .filter(|(_, readings)| readings.iter().any(is_new))
        .map(|(place, _)| **place)
        .collect();
    // What nobody measured has its own blocker.
    let old: BTreeSet<Place> =
        readings.iter().map(|(place, _)| **place).filter(|place| !new.contains(place)).collect();
    old.into_iter().map(|place| place.name(feature)).collect()
}
