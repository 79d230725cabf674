//! Twist of a rod: how far its eyes are turned against each other, end against end of the arbor, over the length the
//! sheet states.
//!
//! Read in an alignment fixture, over the same length as the limit; bend is another row.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "twisted",
    rule: "largest reading in the fixture",
    source: "common practice: stated over a length of the arbor, 0.001 in over 6 in is usual; JCGM 106 decision at the house level",
};
