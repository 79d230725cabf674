//! Alignment of bores in line: the largest gap under a straightedge or bar.
//!
//! From heights at places along the line, the narrowest zone that holds them. Overall and adjacent are two rows: the one over the whole line, the other between neighbours.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "out of line",
    rule: "largest gap along the lines",
    source: "common practice: along the bores in three lines, overall and adjacent; JCGM 106 decision at the house level",
};

/// Where the sheet says where heights are read.
pub(in crate::judgement) const OF_HEIGHTS: Plain = Plain {
    rule: "width of the narrowest zone between two parallel lines that holds every height, line by line",
    source: "ISO 1101 and ISO 12780-1 (recalled): minimum zone; JCGM 106 decision at the house level",
    ..PLAIN
};
