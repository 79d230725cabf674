//! Wobble of a valve in its guide: lifted by about 0.4 in and rocked under an indicator, in two directions.
//!
//! The indicator stands outside the guide, so it swings more than the clearance, about twice as much, and its limit is
//! that of the tool. The clearance itself comes from guide and stem (`clearance`).

use crate::judgement::beside::Beside;
use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "rocks too far",
    rule: "largest full swing of the two directions, at the lift and place the tool asks for",
    source: "common practice: a swing at a distance, about twice the clearance; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn note(judged: &mut Judged) {
    judged.notes.push(Note::Beside(Beside::SwingAtDistance));
}
