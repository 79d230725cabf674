//! Advance of a lobe: how many degrees of the crank its centreline comes before the one intended; below nought it is
//! retarded.
//!
//! An intake's centreline counts after top dead centre, so intended less measured; an exhaust's before it, so measured
//! less intended. The intended one is the row's nominal value.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::worked::{centreline, judge_two};
use crate::metrology::Exact;
use crate::sheets::{LobeOf, Timing};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "retarded",
    above: "advanced",
    rule: "intake: intended less measured centreline; exhaust: measured less intended",
    source: "common practice: degrees of the crank; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let (timing, intended) = bench.feature.worked.timing.zip(bench.row.nominal)?;
    judge_two(bench, values, deciding, &|one, other| of(timing, intended, (one, other)))
}

fn of(timing: Timing, intended: Exact, (first, second): (&PlaceValue, &PlaceValue)) -> Option<PlaceValue> {
    let measured = centreline::of(timing, first, second)?;
    Some(match timing.valve {
        LobeOf::Intake => {
            let turned = measured.part(-1, 1);
            PlaceValue { mean: intended + turned.mean, ..turned }
        }
        LobeOf::Exhaust => PlaceValue { mean: measured.mean - intended, ..measured },
    })
}
