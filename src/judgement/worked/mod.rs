//! Values that are worked out from several readings, one file a characteristic.
//!
//! From one position: `ratio`, `duration`, `centreline`, `advance`, `top_dead_centre`, `base_circle`, `bell_mouth`,
//! `unevenness`. From several positions or features ([`crate::judgement::set`]): `rate`, `spread_percent`,
//! `lowest_of_highest`, `step`, `neighbours`. What their readings share is kept shared, so it cancels or adds as the
//! arithmetic says.

pub(super) mod advance;
pub(super) mod base_circle;
pub(super) mod bell_mouth;
pub(super) mod centreline;
pub(super) mod duration;
pub(super) mod lowest_of_highest;
pub(super) mod neighbours;
pub(super) mod rate;
pub(super) mod ratio;
pub(super) mod spread_percent;
pub(super) mod step;
pub(super) mod top_dead_centre;
pub(super) mod unevenness;

use crate::judgement::deciding::Deciding;
use crate::judgement::errors::{PlaceError, Weighed};
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain;
use crate::judgement::rules::Bench;
use crate::judgement::values::{PlaceValue, Values};
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Feature};
use crate::shop::Place;

/// What two directions of a station give together; `None` where they give nothing.
pub(super) type OfTwo<'a> = &'a dyn Fn(&PlaceValue, &PlaceValue) -> Option<PlaceValue>;

type Given = fn(&PlaceValue, &PlaceValue) -> Option<PlaceValue>;

/// What two directions give by themselves, without anything more from the sheet.
const BY_THEMSELVES: [(Characteristic, Given); 3] = [
    (Characteristic::Ratio, ratio::of),
    (Characteristic::Duration, duration::of),
    (Characteristic::TopDeadCentre, top_dead_centre::of),
];

/// What two directions of a station give; `None` of a characteristic that is worked out otherwise.
pub(super) fn by_themselves(of: Characteristic) -> Option<Given> {
    BY_THEMSELVES.iter().find(|(known, _)| *known == of).map(|(_, given)| *given)
}

/// A value whose first-order errors are those of others, each with the factor it enters with.
pub(super) fn weighed(mean: Exact, of: &[(f64, &PlaceValue)]) -> PlaceValue {
    let errors: Option<Vec<Weighed>> =
        of.iter().map(|(weight, value)| Some((*weight, value.error.clone()?))).collect();
    PlaceValue {
        mean,
        readings: of.iter().flat_map(|(_, value)| value.readings.iter().copied()).collect(),
        error: errors.and_then(PlaceError::made_of),
        corrected: of.iter().any(|(_, value)| value.corrected),
    }
}

/// The values that stations with two directions give, each at its first.
pub(super) fn of_two(feature: &Feature, values: &Values, of: OfTwo<'_>) -> Values {
    let at = |station, direction| values.get(&Place { station, direction });
    let found = (0..feature.stations.len()).filter_map(|station| {
        let value = of(at(station, 0)?, at(station, 1)?)?;
        Some((Place { station, direction: 0 }, value))
    });
    found.collect()
}

/// Judges what two directions of each station give.
pub(super) fn judge_two(
    bench: &Bench<'_>,
    values: &Values,
    deciding: Option<Deciding>,
    of: OfTwo<'_>,
) -> Option<Judged> {
    let plain = plain::of(bench.row.characteristic);
    let found = of_two(bench.feature, values, of);
    let mut judged = plain::judge(bench, plain, &found, deciding)?;
    let name = |place: &Place| match bench.feature.stations.len() {
        1 => bench.row.characteristic.word().to_owned(),
        _ => bench.feature.station_name(place.station).to_owned(),
    };
    judged.places =
        found.iter().map(|(place, value)| PlaceShown { name: name(place), value: value.mean }).collect();
    Some(judged)
}

/// The values that a feature is about, where its readings are parts of them: the ratios of a rocker.
pub(super) fn meant(feature: &Feature, values: &Values) -> Values {
    match feature.row(Characteristic::Ratio) {
        Some(_) => of_two(feature, values, &ratio::of),
        None => values.clone(),
    }
}

/// Places that were read and still give no value: the lobe of a rocker that does not lift.
pub(super) fn without_a_value(feature: &Feature, values: &Values) -> Vec<Place> {
    if feature.row(Characteristic::Ratio).is_none() {
        return Vec::new();
    }
    let given = meant(feature, values);
    let at = |station, direction| Place { station, direction };
    let read =
        |station: &usize| [0, 1].iter().all(|direction| values.contains_key(&at(*station, *direction)));
    let stations = (0..feature.stations.len()).filter(read);
    stations.filter(|station| !given.contains_key(&at(*station, 0))).map(|station| at(station, 1)).collect()
}
