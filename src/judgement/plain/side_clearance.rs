//! Side clearance: beside a ring in its groove, a rod on its pin, a gear in its body.
//!
//! Read by feeler or dial at several places of one groove or cheek; the tightest place decides whether it moves,
//! the loosest whether it is worn.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too loose",
    rule: "largest clearance against the maximum, smallest against the minimum",
    source: "common practice: several places of each groove or pin; JCGM 106 decision at the house level",
};
