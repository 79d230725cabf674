//! Lash: play in a valve train, cold or hot as the sheet says.
//!
//! Set, not worn: both sides are limited and neither is the worn one.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too tight",
    above: "too loose",
    rule: "every lash inside both limits",
    source: "common practice: feeler, cold or hot as stated; JCGM 106 decision at the house level",
};
