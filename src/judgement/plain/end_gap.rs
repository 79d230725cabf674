//! End gap of a ring in its own bore.
//!
//! The gap follows the bore by pi: the minimum is a question of the smallest diameter of ring travel (its bottom),
//! the service maximum of the largest (its top). The sheet lists both as stations, and both ends are judged.

use crate::judgement::beside::Beside;
use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::Values;
use crate::metrology::Exact;
use std::f64::consts::PI;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "too large",
    rule: "smallest gap of the travel against the minimum, largest against the maximum",
    source: "common practice: the minimum at the smallest, service at the largest diameter of ring travel; JCGM 106 decision at the house level",
};

/// A ring's gap grows by pi times what the diameter does, since all of the circumference goes into it: gaps of one ring
/// read along its travel tell how much the bore tapers there.
pub(in crate::judgement) fn note(judged: &mut Judged, values: &Values) {
    let least = values.values().map(|value| value.mean).min();
    let most = values.values().map(|value| value.mean).max();
    if let Some((least, most)) = least.zip(most).filter(|(least, most)| least < most) {
        let apart = most - least;
        let taper = Exact::nearest(apart.to_mm() / PI);
        judged.notes.push(Note::Beside(Beside::GapTells { apart, taper }));
    }
}
