//! Width of a seat, a groove, a cheek.
//!
//! A seat that was pounded gets wider, a land gets narrower: the sheet says which way.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too narrow",
    above: "too wide",
    rule: "the worn end against its limit, the other where it has one",
    source: "common practice; JCGM 106 decision at the house level",
};
