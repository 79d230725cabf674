//! Ratio of a rocker: what the valve lifts over what the lobe lifts, both by indicator at no lash.
//!
//! A number to one, exact. Each lift errs in proportion to itself: with one indicator of one scale the scale cancels
//! as far as the house rules let it be shared.

use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::PlaceValue;
use crate::judgement::worked::weighed;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too low",
    above: "too high",
    rule: "lift of the valve over lift of the lobe, every rocker inside both limits",
    source: "common practice: both by indicator, no lash; JCGM 106 decision at the house level",
};

/// `valve` over `lobe`; `None` where the lobe does not lift.
pub(super) fn of(valve: &PlaceValue, lobe: &PlaceValue) -> Option<PlaceValue> {
    let mean = valve.mean.over(lobe.mean)?;
    let (over, ratio) = (1.0 / lobe.mean.to_mm(), mean.to_mm());
    Some(weighed(mean, &[(over, valve), (-ratio * over, lobe)]))
}
