//! Roundness of a turn: heights (or radii) by an indicator at angles of one plane, as the narrowest ring that holds them all.
//!
//! It sees every shape that so many angles can show, odd lobes with them, where two points see none (`out_of_round`). The
//! part may turn off its centre, which is taken out; what that leaves is a quarter of a micrometre where a part of 50 mm
//! turns off by 0.1 mm (`metrology::form::roundness`).

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "not round",
    rule: "width of the narrowest ring between two concentric circles that holds every height, plane by plane",
    source: "ISO 1101 and ISO 12181-1 (recalled): minimum zone; JCGM 106 decision at the house level",
};
