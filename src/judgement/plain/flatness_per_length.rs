//! Flatness in any stretch of a stated length, from heights at places: `judgement::heights` has the arithmetic.
//!
//! Of a surface a stretch is a square of that length along and across; of a line it is a part of it. The worst of them
//! counts. With a straightedge of that length it is a feature of its own, whose gaps are read (`flatness`).

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "not flat",
    rule: "widest of the minimum zones of every stretch of the length, from heights at places; never scaled",
    source: "ISO 1101 (recalled): a tolerance over a length holds in every such length; JCGM 106 decision at the house level",
};
