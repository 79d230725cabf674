//! Taper: in each direction the difference of its planes, signed, larger at the front or top positive.
//!
//! Never across directions. Two planes: front less rear. Three levels of a bore: the largest less the
//! smallest. The arithmetic of form, shared with out-of-round, is in `form`.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::errors::combined_of;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::values::{Values, extremes};
use crate::metrology::Exact;
use crate::shop::Place;

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
    let scatter = Scatter::Range(bench.feature.stations.len());
    let mut judged = form::judge(bench, &differences, scatter, deciding, &PLAIN)?;
    let floor = Scatter::Difference.floor(differences.len());
    judged.notes.extend(barrel(bench, values, floor));
    Some(judged)
}

/// Of three stations the middle less the mean of the ends: a barrel, or below nought an hour glass or a bore worn
/// wide in the middle. The direction that shows most; `None` without three. `floor` is the 95 percent point of the largest
/// of so many differences, in their standard deviations.
fn barrel(bench: &Bench<'_>, values: &Values, floor: f64) -> Option<Note> {
    if bench.feature.stations.len() != 3 {
        return None;
    }
    let along = |direction| {
        let at = |station| values.get(&Place { station, direction });
        let (front, middle, rear) = (at(0)?, at(1)?, at(2)?);
        let by = middle.mean - (front.mean + rear.mean).part(1, 2);
        let of = [(1.0, middle), (-0.5, front), (-0.5, rear)];
        let errors: Option<Vec<_>> =
            of.iter().map(|(weight, value)| Some((*weight, value.error.as_ref()?))).collect();
        let u = errors.map(|errors| combined_of(&errors));
        Some((by, bench.feature.directions.get(direction)?.clone(), u))
    };
    let all = (0..bench.feature.directions.len()).filter_map(along);
    let (by, of, u) = all.max_by(|a, b| a.0.abs().cmp(&b.0.abs()).then(b.1.cmp(&a.1)))?;
    Some(Note::Beside(Beside::Barrel { by, of, floor: u.map(|u| Exact::nearest(floor * u)) }))
}

fn along<'a>(bench: &Bench<'_>, values: &'a Values, direction: usize) -> Option<Deviation<'a>> {
    let planes = || {
        let at = move |station| Some((station, values.get(&Place { station, direction })?));
        (0..bench.feature.stations.len()).filter_map(at)
    };
    let (largest, smallest) = extremes(planes())?;
    // Positive where the one nearer to the front is larger.
    let (front, rear) =
        if largest.0 <= smallest.0 { (largest.1, smallest.1) } else { (smallest.1, largest.1) };
    let name = bench.feature.directions.get(direction).cloned().unwrap_or_default();
    Some(Deviation::between(name, front, rear).among(planes().map(|(_, value)| value)))
}
