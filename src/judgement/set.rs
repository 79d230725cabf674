//! Several surfaces judged as one: the positions of a feature against each other, or features that belong together.
//!
//! One verdict for all, at the first of them. A position without a reading is missing: a set is judged when all of it is
//! known. What is made of the values is the business of each characteristic's file.

use crate::judgement::deciding::{Deciding, Situation};
use crate::judgement::judged::Judged;
use crate::judgement::rules::{Bench, Present, is_asked, nothing_follows};
use crate::judgement::values::Values;
use crate::judgement::worked::{
    lowest_of_highest, meant, neighbours, rate, spread_percent, step, without_a_value,
};
use crate::judgement::{Verdict, VerdictKey, plain};
use crate::sheets::{Characteristic, Feature, Row, Sheet};
use crate::shop::{Condition, Job, SurfaceKey};
use std::collections::BTreeMap;

pub(super) type AllPresent = BTreeMap<SurfaceKey, Present>;

type Rule = fn(&Set<'_>, &Bench<'_>, Option<Deciding>) -> Option<Judged>;

const RULES: [(Characteristic, Rule); 6] = [
    (Characteristic::Spread, plain::spread::judge),
    (Characteristic::SpreadPercent, spread_percent::judge),
    (Characteristic::LowestOfHighest, lowest_of_highest::judge),
    (Characteristic::Step, step::judge),
    (Characteristic::NeighbourRunOut, neighbours::judge),
    (Characteristic::Rate, rate::judge),
];

/// Surfaces that one row judges together.
pub(super) struct Set<'a> {
    pub(super) job: &'a Job,
    pub(super) sheet: &'a Sheet,
    pub(super) feature: &'a Feature,
    pub(super) row: &'a Row,
    /// The surfaces, the one that the verdict is about first.
    pub(super) keys: Vec<SurfaceKey>,
    pub(super) name: String,
    pub(super) present: &'a AllPresent,
    pub(super) level: f64,
}

/// Verdicts of every row that judges several surfaces together.
pub(super) fn judge_sets(job: &Job, sheet: &Sheet, present: &AllPresent, level: f64) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (index, feature) in sheet.features.iter().enumerate() {
        let of = |feature: usize| {
            let positions = sheet.features.get(feature).map_or(0, |feature| feature.positions.len());
            (0..positions).map(move |position| SurfaceKey { feature, position })
        };
        for row in &feature.rows {
            let set = |name: String, keys: Vec<SurfaceKey>| Set {
                job,
                sheet,
                feature,
                row,
                keys,
                name,
                present,
                level,
            };
            if row.characteristic == Characteristic::Rate {
                verdicts.extend(of(index).filter_map(|key| {
                    let other = SurfaceKey { feature: feature.worked.rate_with?, position: key.position };
                    set(job.surface_name(key), vec![key, other]).verdict()
                }));
            } else if row.characteristic.is_of_sets() {
                let by_clock = row.characteristic == Characteristic::NeighbourRunOut;
                let clock = feature.worked.clock.filter(|_| by_clock).into_iter().flat_map(of);
                verdicts.extend(set(feature.key.clone(), of(index).chain(clock).collect()).verdict());
            }
        }
    }
    verdicts
}

impl<'a> Set<'a> {
    fn is_whole(&self, key: SurfaceKey) -> bool {
        let feature = self.sheet.features.get(key.feature);
        let places = feature.map_or(0, |feature| feature.stations.len() * feature.directions.len());
        let gives =
            |values: &Values| feature.is_none_or(|feature| without_a_value(feature, values).is_empty());
        let whole = |values: &Values| values.len() == places && gives(values);
        self.present.get(&key).is_some_and(|present| whole(&present.values))
    }

    fn verdict(&self) -> Option<Verdict> {
        let mut missing: Vec<String> = self
            .keys
            .iter()
            .filter(|key| !self.is_whole(**key))
            .map(|key| self.job.surface_name(*key))
            .collect();
        let (first, condition) = self.condition()?;
        let asked = is_asked(self.job, self.row, condition);
        let judged = if missing.is_empty() { self.judged(first, condition) } else { None };
        if judged.is_none() && !asked {
            return None;
        }
        if judged.is_none() && missing.is_empty() {
            missing.push(nothing_follows(self.row.characteristic));
        }
        let surface = self.job.surfaces.get(&first)?;
        Some(Verdict {
            key: VerdictKey {
                surface: first,
                row: self.row.number,
                characteristic: self.row.characteristic,
                instance: surface.instance,
                condition,
                basis: surface.basis,
            },
            feature: self.feature.key.clone(),
            name: self.name.clone(),
            unit: self.row.unit,
            stands: true,
            asked,
            missing,
            judged,
            fallback: None,
            gauges: Vec::new(),
        })
    }

    /// The first surface, and the furthest condition any of them was measured in; where it is asked only as the
    /// engine goes together, that one.
    fn condition(&self) -> Option<(SurfaceKey, Condition)> {
        let first = *self.keys.first()?;
        let surface = self.job.surfaces.get(&first)?;
        let measured =
            self.keys.iter().filter_map(|key| self.present.get(key)).map(|p| p.key.condition).max();
        let found = measured.unwrap_or_else(|| surface.condition_now());
        let assembly = surface.assembly_key().condition;
        let only_fitted = !is_asked(self.job, self.row, found) && is_asked(self.job, self.row, assembly);
        Some((first, if only_fitted { assembly } else { found }))
    }

    fn judged(&self, first: SurfaceKey, condition: Condition) -> Option<Judged> {
        let surface = self.job.surfaces.get(&first)?;
        let resized = self.present.get(&first).is_some_and(|present| present.resized);
        let at = Situation { instance: surface.instance, condition, basis: surface.basis, resized };
        let bench = Bench { feature: self.feature, row: self.row, basis: at.basis, level: self.level };
        let deciding = Deciding::of(self.feature, self.row, surface, &at);
        let (_, judge) = RULES.iter().find(|(of, _)| *of == self.row.characteristic)?;
        judge(self, &bench, deciding)
    }

    /// What each surface has been read as, in order; all of them, since nothing is missing.
    pub(super) fn read(&self) -> impl Iterator<Item = (SurfaceKey, &'a Values)> + '_ {
        self.keys.iter().filter_map(|key| Some((*key, &self.present.get(key)?.values)))
    }

    /// The values the feature is about: its readings, or what they give together.
    pub(super) fn meant(&self) -> Vec<(SurfaceKey, Values)> {
        self.read().map(|(key, values)| (key, meant(self.feature, values))).collect()
    }

    /// `3` of `main journal 3`.
    pub(super) fn position(&self, key: SurfaceKey) -> &'a str {
        self.feature.positions.get(key.position).map_or("", String::as_str)
    }
}
