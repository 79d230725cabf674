//! Squareness: the lean of an end or a face against a square.
//!
//! A spring is turned round against the square and its worst lean counts.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "out of square",
    rule: "largest lean over the places",
    source: "common practice: turned round against a square; JCGM 106 decision at the house level",
};
