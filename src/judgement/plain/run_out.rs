//! Run-out: the full swing of an indicator over one turn (TIR).
//!
//! A limit on run-out is on the swing; what it means as a bend is another row (`bend`).

use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "runs out",
    rule: "largest full swing of the indicator (TIR)",
    source: "common practice: TIR is twice the bend of a round journal; JCGM 106 decision at the house level",
};
