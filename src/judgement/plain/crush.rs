//! Crush of a pair of shells: both bolts torqued, one slackened again, and a feeler at its parting face.
//!
//! What stands proud there is what the cap squeezes. Too little lets the shells turn, too much bends them in at the
//! parting line; never is a cap or shell filed for it.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too little crush",
    above: "too much crush",
    rule: "smallest gap against the minimum, largest against the maximum",
    source: "common practice: one bolt slackened, feeler at the parting face; JCGM 106 decision at the house level",
};
