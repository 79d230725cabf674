//! Taper: in each direction the difference of its planes, signed, larger at the front or top positive.
//!
//! Never across directions. Two planes: front less rear. Three levels of a bore: the largest less the
//! smallest. The arithmetic of form, shared with out-of-round, is [`form`].

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::{Bench, gauges_used, readings_used};
use crate::judgement::values::{PlaceValue, Values, difference_error};
use crate::metrology::proof::form_conforms;
use crate::metrology::{Exact, Length, Unit};
use crate::shop::Place;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "tapered",
    rule: "largest difference of the planes in one direction, positive when larger at the front or top",
    source: "trade notes B1, B2 and F1: signed differences direction by direction; JCGM 106 decision at the house level",
};

/// A signed difference of two places.
pub(super) struct Difference<'a> {
    pub(super) shown: PlaceShown,
    pub(super) of: [&'a PlaceValue; 2],
}

pub(super) fn judge(bench: &Bench<'_>, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    let differences: Vec<Difference<'_>> =
        (0..bench.feature.directions.len()).filter_map(|direction| along(bench, values, direction)).collect();
    form(bench, &differences, deciding, &PLAIN)
}

fn along<'a>(bench: &Bench<'_>, values: &'a Values, direction: usize) -> Option<Difference<'a>> {
    let planes: Vec<&PlaceValue> = (0..bench.feature.stations.len())
        .filter_map(|station| values.get(&Place { station, direction }))
        .collect();
    if planes.len() < 2 {
        return None;
    }
    // The first of equals, so that the sign does not depend on which of them is looked at.
    let largest = planes.iter().enumerate().max_by(|a, b| a.1.mean.cmp(&b.1.mean).then(b.0.cmp(&a.0)))?;
    let smallest = planes.iter().enumerate().min_by(|a, b| a.1.mean.cmp(&b.1.mean).then(a.0.cmp(&b.0)))?;
    let (front, rear) =
        if largest.0 <= smallest.0 { (largest.1, smallest.1) } else { (smallest.1, largest.1) };
    let name = bench.feature.directions.get(direction).cloned().unwrap_or_default();
    Some(Difference { shown: PlaceShown { name, value: front.mean - rear.mean }, of: [front, rear] })
}

/// Judges form from signed differences: the value is the largest magnitude, the probability the product over
/// the differences of each being truly within the limit.
pub(super) fn form(
    bench: &Bench<'_>,
    differences: &[Difference<'_>],
    deciding: Option<Deciding>,
    plain: &Plain,
) -> Option<Judged> {
    let value = differences.iter().map(|d| d.shown.value.abs()).max()?;
    let band = deciding.map_or(Band::New, |d| d.band(value));
    let errors: Option<Vec<f64>> = differences
        .iter()
        .map(|d| Some(difference_error(d.of[0].error.as_ref()?, d.of[1].error.as_ref()?)))
        .collect();
    let tolerance = deciding.and_then(|d| d.limits.max).map(Exact::to_mm);
    let chance = |shown: bool| {
        let (errors, tolerance) = (errors.as_ref()?, tolerance?);
        let each = differences.iter().zip(errors).map(|(d, u)| {
            let seen = if shown { d.shown.value.to_mm() } else { 0.0 };
            form_conforms(seen, tolerance, *u)
        });
        Some(each.product::<f64>())
    };
    let probability = chance(true);
    let u = errors.as_ref().and_then(|errors| errors.iter().copied().reduce(f64::max));
    let used = || differences.iter().flat_map(|d| d.of);
    let mut notes = Vec::new();
    if deciding.is_some_and(|d| d.limits.max == Some(value)) {
        notes.push(Note::OnLimit);
    }
    if let Some(u) = u {
        resolution(&mut notes, value, u, differences.len());
    }
    if chance(false).is_some_and(|best| best < bench.level) {
        notes.push(Note::CannotJudge);
    }
    Some(Judged {
        value,
        other: None,
        deciding,
        band,
        probability,
        proof: proof(band, probability, bench.level),
        u,
        places: differences.iter().map(|d| d.shown.clone()).collect(),
        readings: readings_used(used()),
        gauges: gauges_used(used()),
        corrected: used().any(|v| v.corrected),
        rule: plain.rule,
        source: plain.source,
        notes,
    })
}

/// Below twice its uncertainty a difference is not resolved; the noise floor is the 95 percent point of what
/// a perfect surface shows, 3.16, or 3.37 for three differences, repeat deviations (trade notes F1).
fn resolution(notes: &mut Vec<Note>, value: Exact, u: f64, differences: usize) {
    let repeat = u / std::f64::consts::SQRT_2;
    if value.to_mm() < 2.0 * u {
        notes.push(Note::NotResolved(nearest(value.to_mm() + 1.65 * u)));
    }
    let factor = if differences > 2 { 3.37 } else { 3.16 };
    notes.push(Note::NoiseFloor(nearest(factor * repeat)));
}

/// A length for display only, to the nearest 0.00001 mm.
fn nearest(mm: f64) -> Exact {
    Length::parse(&format!("{mm:.5}"), Unit::Millimetre).map_or(Exact::ZERO, Length::exact)
}
