//! Interference of a pair: inner less outer, as for a pin pressed into a rod.
//!
//! The same stack as a clearance with its sign turned, so what gauges share cancels in the same way. The
//! loosest end is the least interference, against the minimum; the tightest is the most, against the maximum.

use crate::judgement::plain::{Counts, Plain};

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Smallest,
    below: "too loose",
    above: "too tight",
    rule: "smallest inner less largest outer, and the other way round",
    source: "common practice: a pressed pin is a minimum; JCGM 106 decision at the house level",
};
