//! Base-circle run-out of a lobe: how far a lifter moves over its heel, where nothing should move it.
//!
//! Read by dial at stations of one turn; those on the heel (120 degrees of the cam are usual) are named on the sheet. What it
//! runs out by is lash that comes and goes, and part of any lift.

use crate::judgement::deciding::Deciding;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::values::{Values, extremes};
use crate::shop::Place;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "runs out on its base circle",
    rule: "largest less smallest reading over the heel",
    source: "common practice: under 0.001 in over the heel; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let heel = &bench.feature.worked.heel;
    let over: Vec<Deviation<'_>> = (0..bench.feature.directions.len())
        .filter_map(|direction| {
            let read =
                || heel.iter().filter_map(move |station| values.get(&Place { station: *station, direction }));
            extremes(read().map(|value| ((), value))).map(|((_, most), (_, least))| {
                let name = bench.feature.directions.get(direction).cloned().unwrap_or_default();
                Deviation::between(name, most, least).among(read())
            })
        })
        .collect();
    form::judge(bench, &over, Scatter::Range(heel.len()), deciding, &PLAIN)
}
