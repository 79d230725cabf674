//! Top dead centre by a positive stop: the crank is turned against the stop from either way, and top dead centre is the middle
//! of what the degree wheel shows at both, after it positive and before it negative.
//!
//! What comes out is how far the wheel's zero is off, so the wheel's own zero is no error of it.

use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::PlaceValue;
use crate::judgement::worked::weighed;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "wheel set early",
    above: "wheel set late",
    rule: "middle of the two readings at the stop, after top dead centre positive",
    source: "common practice: a positive stop from either way; JCGM 106 decision at the house level",
};

pub(super) fn of(one: &PlaceValue, other: &PlaceValue) -> Option<PlaceValue> {
    let mean = (one.mean + other.mean).part(1, 2);
    Some(weighed(mean, &[(0.5, one), (-0.5, other)]))
}
