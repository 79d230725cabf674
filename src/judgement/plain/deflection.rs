//! Deflection of a chain or belt under the thumb: total travel.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too slack",
    rule: "largest deflection",
    source: "common practice; JCGM 106 decision at the house level",
};
