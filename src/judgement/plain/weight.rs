//! Weight of a part.
//!
//! Weights are matched over a set, which is the spread of the same feature.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too light",
    above: "too heavy",
    rule: "the weight inside its limits",
    source: "common practice; JCGM 106 decision at the house level",
};
