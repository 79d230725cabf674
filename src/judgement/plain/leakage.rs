//! Leakage of a cylinder at top dead centre under air, as a share of what goes in, in percent.
//!
//! Where the air comes out (intake, exhaust, oil filler, radiator) is a finding. Which share is too much the sheet says.

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "leaks too much",
    rule: "largest share that leaks",
    source: "common practice: at top dead centre, both pressures steady; JCGM 106 decision at the house level",
};
