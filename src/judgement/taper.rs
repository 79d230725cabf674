//! Taper: in each direction the difference of its planes, signed, larger at the front or top positive.
//!
//! Never across directions. Two planes: front less rear. Three levels of a bore: the largest less the
//! smallest. The arithmetic of form, shared with out-of-round, is in `form`.

use crate::judgement::deciding::Deciding;
use crate::judgement::form::{self, Deviation, Scatter};
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::values::{PlaceValue, Values, difference_error};
use crate::metrology::proof::form_conforms;
use crate::shop::Place;
use std::f64::consts::SQRT_2;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "tapered",
    rule: "largest difference of the planes in one direction, positive when larger at the front or top",
    source: "common practice: signed differences direction by direction; JCGM 106 decision at the house level",
};

pub(super) fn judge(bench: &Bench<'_>, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    let differences: Vec<Deviation<'_>> =
        (0..bench.feature.directions.len()).filter_map(|direction| along(bench, values, direction)).collect();
    form::judge(bench, &differences, &scatter(differences.len()), deciding, &PLAIN)
}

/// How signed differences of two places scatter: the 95 percent point of the largest of two is 3.16 repeat
/// deviations, of three 3.37 (trade notes F1), and `u` is root two of them.
pub(super) fn scatter(differences: usize) -> Scatter<'static> {
    let floor = if differences > 2 { 3.37 } else { 3.16 };
    Scatter { chance: &form_conforms, floor: floor / SQRT_2 }
}

/// The signed difference `a - b` of two places.
pub(super) fn difference<'a>(name: String, a: &'a PlaceValue, b: &'a PlaceValue) -> Deviation<'a> {
    let u = a.error.as_ref().zip(b.error.as_ref()).map(|(a, b)| difference_error(a, b));
    Deviation { shown: PlaceShown { name, value: a.mean - b.mean }, of: vec![a, b], u }
}

fn along<'a>(bench: &Bench<'_>, values: &'a Values, direction: usize) -> Option<Deviation<'a>> {
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
    Some(difference(name, front, rear))
}
