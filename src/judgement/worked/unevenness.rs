//! Unevenness: largest less smallest over the places of one position, such as the four corners of a deck or four places of
//! a liner's protrusion.
//!
//! Between positions it is `spread`, between neighbours `step to the next`.

use crate::judgement::deciding::Deciding;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::values::{Values, extremes};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "uneven",
    rule: "largest less smallest place of the position",
    source: "common practice: corners of a deck, places of a liner; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let ((highest, most), (lowest, least)) = extremes(values.iter())?;
    let name = format!("{} less {}", highest.name(bench.feature), lowest.name(bench.feature));
    let apart = [Deviation::between(name, most, least).among(values.values())];
    form::judge(bench, &apart, Scatter::Range(values.len()), deciding, &PLAIN)
}
