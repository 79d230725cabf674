//! Depth from a datum down: a sunk valve, a piston below the deck, a counterbore.
//!
//! A valve that sinks goes deeper, so the sheet says which way wear goes.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too shallow",
    above: "too deep",
    rule: "the worn end against its limit, the other where it has one",
    source: "common practice; JCGM 106 decision at the house level",
};
