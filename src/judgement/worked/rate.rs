//! Rate of a spring: the load it gains for each inch or millimetre it is pressed, from its loads at two heights.
//!
//! The load at the lower height less that at the higher, over the difference of the heights (lbf/in or N/mm, exact). The
//! heights are those the tester was set to, as the sheet has them, and are taken as known; what the tester's zero is off by
//! cancels, what its scale is off by is shared in proportion to the difference.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain::{self, Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::set::Set;
use crate::judgement::values::Values;
use crate::judgement::worked::weighed;
use crate::metrology::Unit;
use crate::shop::Place;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::AsWorn,
    below: "too soft",
    above: "too stiff",
    rule: "load gained over height lost",
    source: "common practice: loads at installed and open height; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let mut read = set.read().filter_map(|(key, values)| {
        let feature = set.sheet.features.get(key.feature)?;
        Some((feature.worked.at_height?, values.values().next()?))
    });
    let (own, other) = read.next().zip(read.next())?;
    let per = if bench.row.unit == Unit::NewtonPerMillimetre { Unit::Millimetre } else { Unit::Inch };
    let pressed = other.0 - own.0;
    let mean = (own.1.mean - other.1.mean).per(pressed, per)?;
    let weight = per.scale() / pressed.to_mm();
    let value = weighed(mean, &[(weight, own.1), (-weight, other.1)]);
    let values = Values::from([(Place { station: 0, direction: 0 }, value)]);
    let mut judged = plain::judge(bench, &PLAIN, &values, deciding)?;
    judged.places = vec![PlaceShown { name: "rate".to_owned(), value: mean }];
    Some(judged)
}
