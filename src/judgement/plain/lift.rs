//! Lift of a cam lobe: over the nose less across the base circle, or straight from a dial on the lifter.
//!
//! By micrometer the feature has two directions, the nose first and the base circle second, and the lift is
//! their difference, in which the micrometer's setting cancels. By dial it has one. With all three, dial last,
//! either way answers; where both were taken both are judged. Across the base circle is true only where it
//! reaches a quarter turn to both sides of the heel; the sheet says so by having a dial alone.
//!
//! Where the sheet has stations of a turn (`heel`), a dial was read at each of them and the lift is the largest less the
//! smallest, so that its setting cancels. A nose between two stations is missed by little: the lift can only be more.

use crate::judgement::plain::{Counts, Plain};
use crate::judgement::values::{PlaceValue, Values, extremes};
use crate::judgement::worked::weighed;
use crate::sheets::Feature;
use crate::shop::Place;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Smallest,
    below: "worn low",
    above: "too high",
    rule: "nose less base circle, or the swing of a dial over a turn; smallest lobe reading",
    source: "common practice; JCGM 106 decision at the house level",
};

const NOSE: usize = 0;
const BASE: usize = 1;
const DIAL: usize = 2;

/// The lifts that the readings give, each at the place it is named by.
pub(in crate::judgement) fn lifts(feature: &Feature, values: &Values) -> Values {
    if !feature.worked.heel.is_empty() {
        return over_a_turn(feature, values);
    }
    if feature.directions.len() < 2 {
        return values.clone();
    }
    let mut found = Values::new();
    for station in 0..feature.stations.len() {
        let at = |direction| Place { station, direction };
        if let Some((nose, base)) = values.get(&at(NOSE)).zip(values.get(&at(BASE))) {
            found.insert(at(NOSE), less(nose, base));
        }
        if let Some(dial) = values.get(&at(DIAL)) {
            found.insert(at(DIAL), dial.clone());
        }
    }
    found
}

/// The largest less the smallest reading of a turn, in each direction; nothing of a turn that is not whole.
fn over_a_turn(feature: &Feature, values: &Values) -> Values {
    let turn = |direction: usize| {
        (0..feature.stations.len()).map(move |station| values.get(&Place { station, direction }))
    };
    let of = |direction: usize| {
        let read: Vec<((), &PlaceValue)> =
            turn(direction).map(|value| Some(((), value?))).collect::<Option<_>>()?;
        let ((_, most), (_, least)) = extremes(read.iter().copied())?;
        let all = read.iter().flat_map(|(_, value)| value.readings.iter().copied());
        let lift = PlaceValue { readings: all.collect(), ..less(most, least) };
        Some((Place { station: 0, direction }, lift))
    };
    (0..feature.directions.len()).filter_map(of).collect()
}

/// What the setting adds to both cancels.
fn less(of: &PlaceValue, base: &PlaceValue) -> PlaceValue {
    weighed(of.mean - base.mean, &[(1.0, of), (-1.0, base)])
}

/// Is this place answered by the other way of measuring?
pub(in crate::judgement) fn answered_otherwise(feature: &Feature, values: &Values, place: Place) -> bool {
    let has = |direction| values.contains_key(&Place { station: place.station, direction });
    feature.worked.heel.is_empty()
        && feature.directions.len() > DIAL
        && if place.direction == DIAL { has(NOSE) && has(BASE) } else { has(DIAL) }
}
