//! Clearance by a gauging strip: what its flattened width says, read against the printed scale.
//!
//! The strip is a check on the parts that were measured, and both are named beside each other (`cross_checks`).

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too loose",
    rule: "widest clearance read on the strip against the maximum, narrowest against the minimum",
    source: "common practice: a strip is an interval of half a mark, and no more than a cross-check",
};
