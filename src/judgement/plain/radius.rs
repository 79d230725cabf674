//! Radius of a fillet, by a radius gauge at both ends of the journal.
//!
//! The sharpest breaks the crank; one that is too large carries the edge of the shell.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Smallest,
    below: "too sharp",
    above: "too large",
    rule: "sharpest fillet against the minimum, largest against the maximum",
    source: "common practice: as it was made, at both ends of each journal; JCGM 106 decision at the house level",
};
