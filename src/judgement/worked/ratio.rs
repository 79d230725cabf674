//! Ratio of a rocker: what the valve lifts over what the lobe lifts, both by indicator at no lash.
//!
//! A number to one, exact. Each lift errs in proportion to itself: with one indicator of one scale the scale cancels
//! as far as the house rules let it be shared.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::worked::{judge_two, weighed};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too low",
    above: "too high",
    rule: "lift of the valve over lift of the lobe, every rocker inside both limits",
    source: "common practice: both by indicator, no lash; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    judge_two(bench, values, deciding, &of)
}

/// `valve` over `lobe`; `None` of no lift.
pub(in crate::judgement) fn of(valve: &PlaceValue, lobe: &PlaceValue) -> Option<PlaceValue> {
    let mean = valve.mean.over(lobe.mean)?;
    let (over, ratio) = (1.0 / lobe.mean.to_mm(), mean.to_mm());
    Some(weighed(mean, &[(over, valve), (-ratio * over, lobe)]))
}
