//! Removed: everything ever taken off, against the total the sheet allows.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too little removed",
    above: "too much removed",
    rule: "sum of what every operation and returned order took off",
    source: "trade notes 0.1, B3 and E7: thickness left and total ever removed must both hold",
};
