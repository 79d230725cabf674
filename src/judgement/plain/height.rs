//! Height from a datum up: a deck over the crank, a spring as installed, a stem tip over its seat, a lobe.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too low",
    above: "too high",
    rule: "lowest where it shrinks, and both ends where both are limited",
    source: "common practice; JCGM 106 decision at the house level",
};
