//! Flatness by straightedge and feeler: the largest gap under any line. From heights at places: the zone that holds them.
//!
//! By straightedge it is the straightness of lines, not the flatness of the face as ISO 1101 has it. "In any 6 in" is measured with
//! a 6 in straightedge and is a row of its own: never scaled from the whole length, since a uniform bow shrinks
//! with the square of the length and a step does not shrink at all. A straightedge and feeler cannot decide a
//! limit as fine as their own uncertainty; the verdict says so and asks for a grid of heights.

use crate::judgement::judged::{Judged, Note};
use crate::judgement::plain::{Counts, Plain};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too small",
    above: "not flat",
    rule: "largest gap under the lines of the straightedge, as measured, never scaled",
    source: "common practice: lines of a straightedge, feeler as an interval; JCGM 106 decision at the house level",
};

/// Where the sheet says where heights are read.
pub(in crate::judgement) const OF_HEIGHTS: Plain = Plain {
    rule: "width of the narrowest zone between two parallel planes (of a line, two lines) that holds every height",
    source: "ISO 1101 and ISO 12781-1 (recalled): minimum zone; JCGM 106 decision at the house level",
    ..PLAIN
};

/// A limit no more than twice the expanded uncertainty is beyond a straightedge and a feeler that is read by feel. Two blades
/// say themselves how much they prove.
pub(in crate::judgement) fn note(judged: &mut Judged) {
    if judged.notes.iter().any(|note| matches!(note, Note::BetweenBlades { .. })) {
        return;
    }
    let limit = judged.deciding.and_then(|deciding| deciding.proof.max);
    if limit.zip(judged.u).is_some_and(|(limit, u)| limit.to_mm() <= 4.0 * u) {
        judged.notes.push(Note::TooFineForFeeler);
    }
}
