//! End gap of a ring in its own bore.
//!
//! The gap follows the bore by pi: the minimum is a question of the smallest diameter of ring travel (its bottom),
//! the service maximum of the largest (its top). The sheet lists both as stations, and both ends are judged.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "too large",
    rule: "smallest gap of the travel against the minimum, largest against the maximum",
    source: "common practice: the minimum at the smallest, service at the largest diameter of ring travel; JCGM 106 decision at the house level",
};
