//! Length along a part: free length of a spring, a pushrod, a connecting rod between centres.
//!
//! Where wear or setting makes it shorter the smallest counts; equal length of springs does not prove their load.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too short",
    above: "too long",
    rule: "smallest length where it shrinks, and both ends where both are limited",
    source: "common practice: springs more than 3 percent short are replaced, never stretched; JCGM 106 decision at the house level",
};
