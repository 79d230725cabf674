//! End play: how far a shaft can be moved along its axis, caps torqued.
//!
//! Too little runs dry and too much hammers, so both ends are limited; several readings round the turn are judged
//! by the largest against the maximum and the smallest against the minimum.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too loose",
    rule: "largest play against the maximum, smallest against the minimum",
    source: "common practice: read assembled, caps torqued, before and after thrust alignment; JCGM 106 decision at the house level",
};
