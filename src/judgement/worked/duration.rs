//! Duration of a lobe: the turn of the crank from opening to closing at the rise the sheet states, commonly 0.050 in.
//!
//! Opening counts before its dead centre and closing after the other one, half a turn on, so the duration is opening
//! plus 180 plus closing, degrees of the crank. A wheel whose zero is off makes one of them larger by as much as the other
//! smaller, so that cancels.

use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::PlaceValue;
use crate::judgement::worked::weighed;
use crate::metrology::{Exact, Length, Unit};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too short",
    above: "too long",
    rule: "opening plus 180 plus closing, degrees of the crank",
    source: "common practice: events at 0.050 in of lifter rise; JCGM 106 decision at the house level",
};

pub(super) fn of(opening: &PlaceValue, closing: &PlaceValue) -> Option<PlaceValue> {
    let mean = opening.mean + half_a_turn()? + closing.mean;
    Some(weighed(mean, &[(1.0, opening), (-1.0, closing)]))
}

/// From one dead centre to the next.
pub(in crate::judgement) fn half_a_turn() -> Option<Exact> {
    Length::parse("180", Unit::Degree).ok().map(Length::exact)
}
