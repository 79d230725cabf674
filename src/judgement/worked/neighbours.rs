//! Run-out of neighbours: how far neighbouring main journals are out against each other, from their swings (TIR) and the clock
//! angles of their high spots.
//!
//! Each journal is off the axis by half its swing, towards its high spot. Two of them are apart by the length of the
//! difference of these two arrows; twice that is the swing an indicator on the one would show with the other on the axis:
//! root of (a^2 + b^2 - 2 a b cos of the angle between). High spots on one side, that is the difference of the swings;
//! opposite, their sum; a bend all in one plane with the same swing at each does nothing here. The swing of an oval journal
//! holds some of its out-of-round, which this takes for being off the axis. Rounded once to the grid.

use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain::{self, Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::set::Set;
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::worked::weighed;
use crate::metrology::Exact;
use crate::shop::Place;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "out against its neighbour",
    rule: "swings of neighbours taken as arrows by their clock angles: sum where opposite, difference on one side",
    source: "geometry of two eccentric circles; limits as the sheet states; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let read: Vec<&PlaceValue> = set.read().filter_map(|(_, values)| values.values().next()).collect();
    let (swings, clocks) = read.split_at_checked(set.feature.positions.len())?;
    let journals: Vec<(&PlaceValue, &PlaceValue)> =
        swings.iter().copied().zip(clocks.iter().copied()).collect();
    let mut values = Values::new();
    let mut places = Vec::new();
    for (index, (one, next)) in journals.iter().zip(journals.iter().skip(1)).enumerate() {
        let value = apart(*one, *next);
        let name = |at: usize| set.feature.positions.get(at).cloned().unwrap_or_default();
        places
            .push(PlaceShown { name: format!("{} and {}", name(index), name(index + 1)), value: value.mean });
        values.insert(Place { station: index, direction: 0 }, value);
    }
    let mut judged = plain::judge(bench, &PLAIN, &values, deciding)?;
    judged.places = places;
    Some(judged)
}

/// Of two journals, each a swing and the angle of its high spot.
fn apart(one: (&PlaceValue, &PlaceValue), next: (&PlaceValue, &PlaceValue)) -> PlaceValue {
    let (a, b) = (one.0.mean.to_mm(), next.0.mean.to_mm());
    let between = (one.1.mean - next.1.mean).to_mm().to_radians();
    let (sine, cosine) = between.sin_cos();
    let value = (a * a + b * b - 2.0 * a * b * cosine).max(0.0).sqrt();
    // Where both are alike any error is one of the arrow's length.
    let (of_a, of_b, of_angle) = if value > 0.0 {
        ((a - b * cosine) / value, (b - a * cosine) / value, a * b * sine / value)
    } else {
        (1.0, -1.0, a)
    };
    let turned = of_angle.to_radians();
    let parts = [(of_a, one.0), (of_b, next.0), (turned, one.1), (-turned, next.1)];
    weighed(Exact::nearest(value), &parts)
}
