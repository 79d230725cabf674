//! Roughness (Ra) of a journal, a bore or a gasket face, by tester or by comparison with a specimen.
//!
//! The roughest place decides. Where a finish must hold oil or a gasket both ends are limited. In microinch or micrometre
//! (1 uin = 0.0254 um exactly); a comparison is by eye and its figure in the house rules should say so.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too smooth",
    above: "too rough",
    rule: "roughest place against the maximum, smoothest against the minimum",
    source: "common practice: Ra by tester or specimen; JCGM 106 decision at the house level",
};
