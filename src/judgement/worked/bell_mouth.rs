//! Bell-mouth of a valve guide: how much wider it is at an end than in the middle, direction by direction.
//!
//! Read at three heights: a rocking stem wears the ends. Ends that are tighter than the middle are no bell-mouth and
//! count as nought; they are seen in the sizes. A difference inside one set, so what the gauge shares cancels.

use crate::judgement::deciding::Deciding;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::values::Values;
use crate::metrology::Exact;
use crate::shop::Place;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "bell-mouthed",
    rule: "largest end less the middle, direction by direction",
    source: "common practice: top, middle and bottom in two directions; JCGM 106 decision at the house level",
};

const MIDDLE: usize = 1;

pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let wider = |end: usize, direction: usize| {
        let at = |station| Place { station, direction };
        let (read, middle) = values.get(&at(end)).zip(values.get(&at(MIDDLE)))?;
        let found = Deviation::between(at(end).name(bench.feature), read, middle);
        let value = found.shown.value.max(Exact::ZERO);
        Some(Deviation { shown: PlaceShown { value, ..found.shown }, ..found })
    };
    let directions = 0..bench.feature.directions.len();
    let ends: Vec<Deviation<'_>> =
        directions.flat_map(|direction| [wider(0, direction), wider(2, direction)]).flatten().collect();
    form::judge(bench, &ends, Scatter::OneSided, deciding, &PLAIN)
}
