//! Spread: the largest less the smallest over the positions of the engine.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "too far apart",
    rule: "largest less smallest over all positions of the engine",
    source: "trade notes B3, E5 and H1: matched sets; JCGM 106 decision at the house level",
};
