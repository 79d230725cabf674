//! Protrusion: how far something stands above its face, below it when negative.
//!
//! A piston is rocked to both sides and the mean on the pin's axis is written. Where the sheet chooses a
//! gasket by it, the highest part of the engine decides for all (`gasket`).

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too low",
    above: "too high",
    rule: "every part inside both limits; the highest chooses the gasket",
    source: "common practice; JCGM 106 decision at the house level",
};
