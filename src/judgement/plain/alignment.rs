//! Alignment of bores in line: the largest gap under a straightedge or bar.
//!
//! Overall and adjacent are two rows: the one over the whole line, the other between neighbours.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "out of line",
    rule: "largest gap along the lines",
    source: "common practice: along the bores in three lines, overall and adjacent; JCGM 106 decision at the house level",
};
