//! Form: deviations of one surface, part by part, against one limit from above.
//!
//! The value is the largest deviation; the probability is the product over all of each being truly within the
//! limit. Out-of-round has a deviation a plane, taper one a direction; both are differences inside one set, so
//! what the gauge shares cancels. Noise alone shows some deviation on a perfect surface, so the floor is said, and
//! beyond is proven only of what the largest of so many on a surface just at its limit seldom shows (`scatter`).

use crate::judgement::deciding::Deciding;
use crate::judgement::errors::{PlaceError, Weighed, difference_error};
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::plain::Plain;
use crate::judgement::rules::{Bench, gauges_used, readings_used};
use crate::judgement::scatter::Scatter;
use crate::judgement::values::PlaceValue;
use crate::metrology::{Exact, Length, Unit};

/// One deviation and what it is made of.
pub(super) struct Deviation<'a> {
    /// Signed where it is a difference.
    pub(super) shown: PlaceShown,
    pub(super) of: Vec<&'a PlaceValue>,
    /// Standard uncertainty of it; `None` without a figure.
    pub(super) u: Option<f64>,
    /// The factors that the errors of the first of `of` have in `u`; the rest were only looked at.
    pub(super) weights: [f64; 3],
    /// Where `u` is that of a difference of two like the worst of `of`: that one.
    pub(super) worst: Option<PlaceError>,
}

impl<'a> Deviation<'a> {
    /// The signed difference `a - b` of two places.
    pub(super) fn between(name: String, a: &'a PlaceValue, b: &'a PlaceValue) -> Self {
        let u = a.error.as_ref().zip(b.error.as_ref()).map(|(a, b)| difference_error(a, b));
        let shown = PlaceShown { name, value: a.mean - b.mean };
        Self { shown, of: vec![a, b], u, weights: [1.0, -1.0, 0.0], worst: None }
    }

    /// The two were found by looking at all of these.
    pub(super) fn among(mut self, all: impl Iterator<Item = &'a PlaceValue>) -> Self {
        self.of.extend(all);
        self
    }

    fn rests(&self) -> Option<Vec<Weighed>> {
        if let Some(worst) = &self.worst {
            return Some(vec![(1.0, worst.clone()), (-1.0, worst.clone())]);
        }
        let each = self.of.iter().zip(self.weights).filter(|(_, weight)| *weight != 0.0);
        each.map(|(value, weight)| Some((weight, value.error.clone()?))).collect()
    }
}

/// Judges deviations; `None` of none.
pub(super) fn judge(
    bench: &Bench<'_>,
    deviations: &[Deviation<'_>],
    scatter: Scatter,
    deciding: Option<Deciding>,
    plain: &Plain,
) -> Option<Judged> {
    let value = deviations.iter().map(|d| d.shown.value.abs()).max()?;
    let band = deciding.map_or(Band::New, |d| d.band(value));
    let errors: Option<Vec<f64>> = deviations.iter().map(|d| d.u).collect();
    let tolerance = deciding.and_then(|d| d.limits.max).map(Exact::to_mm);
    let chance = |shown: bool, left: f64| {
        let (errors, tolerance) = (errors.as_ref()?, tolerance?);
        let each = deviations.iter().zip(errors).map(|(d, u)| {
            let seen = if shown { d.shown.value.to_mm() } else { 0.0 };
            scatter.conforms(seen, tolerance, *u * left)
        });
        Some(each.product::<f64>())
    };
    let probability = chance(true, 1.0);
    let shows = || shows(deviations, errors.as_ref()?, tolerance?, scatter);
    let u = errors.as_ref().and_then(|errors| errors.iter().copied().reduce(f64::max));
    let by_u = |a: &&Deviation<'_>, b: &&Deviation<'_>| {
        a.u.unwrap_or(0.0).total_cmp(&b.u.unwrap_or(0.0)).then(a.shown.value.abs().cmp(&b.shown.value.abs()))
    };
    let least_sure = deviations.iter().max_by(by_u).filter(|_| u.is_some());
    let used = || deviations.iter().flat_map(|d| d.of.iter().copied());
    let mut notes = Vec::new();
    if deciding.is_some_and(|d| d.limits.max == Some(value)) {
        notes.push(Note::OnLimit);
    }
    if let Some(u) = u {
        resolution(&mut notes, value, u, scatter.floor(deviations.len()));
    }
    if chance(false, 1.0).is_some_and(|best| best < bench.level) {
        let left = used().filter_map(|value| value.error.as_ref()).map(PlaceError::left_by_three);
        let best = chance(false, left.fold(0.0, f64::max));
        notes.push(Note::CannotJudge { three_would_do: best.is_some_and(|best| best >= bench.level) });
    }
    let judged = Judged {
        value,
        other: None,
        deciding,
        band,
        probability,
        proof: proof(band, probability, bench.level),
        u,
        rests: least_sure.and_then(Deviation::rests).unwrap_or_default(),
        places: deviations.iter().map(|d| d.shown.clone()).collect(),
        readings: readings_used(used()),
        gauges: gauges_used(used()),
        corrected: used().any(|v| v.corrected),
        rule: plain.rule,
        source: plain.source,
        notes,
    };
    Some(judged.unless_noise(bench.level, shows))
}

/// Probability that deviations which are all just within the tolerance show none that is further out than the worst of
/// these, each in its own uncertainty; `None` where none is out.
fn shows(deviations: &[Deviation<'_>], errors: &[f64], tolerance: f64, scatter: Scatter) -> Option<f64> {
    let out = deviations.iter().zip(errors).map(|(d, u)| (d.shown.value.abs().to_mm() - tolerance) / u);
    let worst = out.reduce(f64::max).filter(|worst| *worst > 0.0)?;
    Some(errors.iter().map(|u| scatter.shows(tolerance + worst * u, tolerance, *u)).product())
}

/// Below twice its uncertainty a deviation is not resolved (trade notes F1).
fn resolution(notes: &mut Vec<Note>, value: Exact, u: f64, floor: f64) {
    if value.to_mm() < 2.0 * u {
        notes.push(Note::NotResolved(nearest(value.to_mm() + 1.65 * u)));
    }
    notes.push(Note::NoiseFloor(nearest(floor * u)));
}

/// A length for display only, to the nearest 0.00001 mm.
fn nearest(mm: f64) -> Exact {
    Length::parse(&format!("{mm:.5}"), Unit::Millimetre).map_or(Exact::ZERO, Length::exact)
}
