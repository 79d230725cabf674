//! Backlash of gears that mesh: a dial on a tooth while the other gear is held.
//!
//! Too little binds when hot, too much rattles. Gears run out, so it is read at several places of the turn; the
//! tightest decides whether it binds, the loosest whether it is worn.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too slack",
    rule: "largest backlash against the maximum, smallest against the minimum",
    source: "common practice: several places of the turn; JCGM 106 decision at the house level",
};
