//! Out-of-round: in each plane the signed difference of its two directions.
//!
//! Inside one set by one gauge the error of its setting is in both readings and cancels; what is left is
//! twice the repeat error. A range of noisy readings is biased high, so the probability is taken plane by
//! plane from the signed difference, never from the largest magnitude.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, Note, PlaceShown};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::taper::{Difference, form};
use crate::judgement::values::Values;
use crate::shop::Place;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "out of round",
    rule: "largest difference of the two directions in one plane",
    source: "trade notes 0.3 and F1: signed differences plane by plane; JCGM 106 decision at the house level",
};

pub(super) fn judge(bench: &Bench<'_>, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    let differences: Vec<Difference<'_>> = (0..bench.feature.stations.len())
        .filter_map(|station| {
            let x = values.get(&Place { station, direction: 0 })?;
            let y = values.get(&Place { station, direction: 1 })?;
            let name = bench.feature.station_name(station).to_owned();
            Some(Difference { shown: PlaceShown { name, value: x.mean - y.mean }, of: [x, y] })
        })
        .collect();
    let mut judged = form(bench, &differences, deciding, &PLAIN)?;
    // Found by turning, X is the largest and Y the smallest; a Y larger than X shows fixed directions.
    if differences.iter().any(|d| d.shown.value.is_negative()) {
        judged.notes.push(Note::FixedDirections);
    }
    Some(judged)
}
