//! Spread: the largest less the smallest over the positions of the engine, as for weights of a set.
//!
//! One verdict for the whole feature. A position without a reading is missing: a set is matched when all of it
//! is known.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::{Deciding, Situation};
use crate::judgement::form::{self, Scatter};
use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::{Bench, Present, is_asked};
use crate::judgement::taper;
use crate::judgement::values::PlaceValue;
use crate::judgement::{Verdict, VerdictKey};
use crate::metrology::proof::form_conforms;
use crate::metrology::repeats::range_factor;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Feature, Row, Sheet};
use crate::shop::{Condition, Job, SurfaceKey};
use std::collections::BTreeMap;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "too far apart",
    rule: "largest less smallest over all positions of the engine",
    source: "common practice: matched sets; JCGM 106 decision at the house level",
};

type AllPresent = BTreeMap<SurfaceKey, Present>;

/// Verdicts of every spread the sheet limits.
pub(in crate::judgement) fn judge_spreads(
    job: &Job,
    sheet: &Sheet,
    present: &AllPresent,
    level: f64,
) -> Vec<Verdict> {
    let rows = sheet.features.iter().enumerate().flat_map(|(index, feature)| {
        let rows = feature.rows.iter().filter(|row| row.characteristic == Characteristic::Spread);
        rows.map(move |row| (index, feature, row))
    });
    rows.filter_map(|(index, feature, row)| Set { job, index, feature, row, present, level }.verdict())
        .collect()
}

struct Set<'a> {
    job: &'a Job,
    index: usize,
    feature: &'a Feature,
    row: &'a Row,
    present: &'a AllPresent,
    level: f64,
}

impl Set<'_> {
    fn keys(&self) -> impl Iterator<Item = SurfaceKey> + '_ {
        (0..self.feature.positions.len()).map(|position| SurfaceKey { feature: self.index, position })
    }

    fn verdict(&self) -> Option<Verdict> {
        let places = self.feature.stations.len() * self.feature.directions.len();
        let whole = |key: &SurfaceKey| self.present.get(key).is_some_and(|p| p.values.len() == places);
        let missing: Vec<String> =
            self.keys().filter(|key| !whole(key)).map(|key| self.job.surface_name(key)).collect();
        let (first, condition) = self.condition()?;
        let asked = is_asked(self.job, self.row, condition);
        let judged = if missing.is_empty() { self.judged(first, condition) } else { None };
        if judged.is_none() && !asked {
            return None;
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
            name: self.feature.key.clone(),
            unit: self.feature.unit,
            stands: true,
            asked,
            missing,
            judged,
            gauges: Vec::new(),
        })
    }

    /// The first position, and the furthest condition any of them was measured in; where it is asked only as the
    /// engine goes together, that one.
    fn condition(&self) -> Option<(SurfaceKey, Condition)> {
        let first = self.keys().next()?;
        let surface = self.job.surfaces.get(&first)?;
        let measured = self.keys().filter_map(|key| self.present.get(&key)).map(|p| p.key.condition).max();
        let found = measured.unwrap_or_else(|| surface.condition_now());
        let assembly = surface.assembly_key().condition;
        let only_fitted = !is_asked(self.job, self.row, found) && is_asked(self.job, self.row, assembly);
        Some((first, if only_fitted { assembly } else { found }))
    }

    fn judged(&self, first: SurfaceKey, condition: Condition) -> Option<Judged> {
        let values = || {
            self.keys()
                .filter_map(|key| Some((key, self.present.get(&key)?)))
                .flat_map(|(key, present)| present.values.values().map(move |value| (key, value)))
        };
        let by_mean = |a: &(SurfaceKey, &PlaceValue), b: &(SurfaceKey, &PlaceValue)| a.1.mean.cmp(&b.1.mean);
        let (at_most, most) = values().max_by(by_mean)?;
        let (at_least, least) = values().min_by(by_mean)?;
        let surface = self.job.surfaces.get(&first)?;
        let resized = self.present.get(&first).is_some_and(|present| present.resized);
        let at = Situation { instance: surface.instance, condition, basis: surface.basis, resized };
        let bench = Bench { feature: self.feature, row: self.row, basis: at.basis, level: self.level };
        let name = |key: SurfaceKey| self.feature.positions.get(key.position).map_or("", String::as_str);
        let apart = taper::difference(format!("{} less {}", name(at_most), name(at_least)), most, least);
        let floor = range_factor(values().count()) / std::f64::consts::SQRT_2;
        let scatter = Scatter { chance: &form_conforms, floor };
        let deciding = Deciding::of(self.feature, self.row, surface, &at);
        let mut judged = form::judge(&bench, &[apart], &scatter, deciding, &PLAIN)?;
        // Of a balance the total is what the crankshaft feels.
        if self.feature.unit == Unit::Gram {
            let total = values().fold(Exact::ZERO, |sum, (_, value)| sum + value.mean);
            judged.notes.push(Note::Beside(Beside::Total(total)));
        }
        Some(judged)
    }
}
