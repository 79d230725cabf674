//! Load of a spring at a stated height.
//!
//! Height and load belong together: the load as installed and the load open are two features.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too weak",
    above: "too strong",
    rule: "weakest where it shrinks, and both ends where both are limited",
    source: "common practice: service is 10 percent under new; JCGM 106 decision at the house level",
};
