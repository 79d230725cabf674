//! Volume of a chamber, by burette, valves and plug in.
//!
//! No unit of length, and no worn side: both limits count. A skimmed head is judged by its after-work limits.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too small",
    above: "too large",
    rule: "every chamber inside both limits",
    source: "common practice; JCGM 106 decision at the house level",
};
