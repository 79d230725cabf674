//! Cross-hatch of a honed bore: the angle of its marks to the deck plane, in degrees.
//!
//! Books state either this angle or the one included between the marks, which is twice it; the sheet and the readings
//! have the angle to the deck, and the other is said beside.

use crate::judgement::beside::Beside;
use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too flat",
    above: "too steep",
    rule: "every place inside both limits, as the angle to the deck plane",
    source: "common practice: the included angle is twice the angle to the deck; JCGM 106 decision at the house level",
};

/// The angle between the marks.
pub(in crate::judgement) fn note(judged: &mut Judged) {
    judged.notes.push(Note::Beside(Beside::IncludedAngle(judged.value * 2)));
}
