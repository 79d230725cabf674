//! Margin: what is left at the edge of a valve, or before coils bind or parts touch.
//!
//! The thinnest place burns first.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Smallest,
    below: "too thin",
    above: "too thick",
    rule: "thinnest place",
    source: "common practice: margin and coil-bind margin; JCGM 106 decision at the house level",
};
