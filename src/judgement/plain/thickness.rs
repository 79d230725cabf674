//! Thickness between two faces: a head, a flywheel, a cylinder wall.
//!
//! The thinnest place is the question. Once cut, the after-work minimum decides, and the total ever removed
//! (`removed`) is a row of its own: both must hold.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Smallest,
    below: "too thin",
    above: "too thick",
    rule: "thinnest place",
    source: "common practice: four corners; thickness left and total removed must both hold; JCGM 106 decision at the house level",
};
