//! What a worked-out characteristic needs of its feature.

use crate::metrology::{Quantity, Unit};
use crate::sheets::Sheet;
use crate::sheets::characteristic::Characteristic;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::Feature;
use crate::sheets::row::Row;
use crate::sheets::worked::Events;

pub(super) fn of_row(sheet: &Sheet, feature: &Feature, row: &Row, faults: &mut Faults) {
    if let Some(expected) = what_it_lacks(sheet, feature, row) {
        faults.push(Fault::new(format!("row {}", row.number), row.characteristic.word(), expected));
    }
}

fn what_it_lacks(sheet: &Sheet, feature: &Feature, row: &Row) -> Option<&'static str> {
    let worked = &feature.worked;
    let two = feature.directions.len() == 2;
    let wheel = two && feature.unit == Unit::Degree;
    let opening = worked.timing.is_some_and(|timing| timing.read == Events::OpeningAndClosing);
    let timed = wheel && worked.timing.is_some();
    let several = feature.positions.len() > 1;
    let places = feature.stations.len() * feature.directions.len();
    let needs = [
        (Characteristic::Ratio, two, "a feature with two directions: the valve's lift, and the lobe's"),
        (
            Characteristic::BaseCircle,
            worked.heel.len() > 1,
            "a feature with heel: two stations or more of a turn",
        ),
        (
            Characteristic::Duration,
            timed && opening,
            "a feature in deg with timing: opening and closing, its two directions",
        ),
        (Characteristic::Centreline, timed, "a feature in deg with timing and two directions"),
        (
            Characteristic::Advance,
            timed && row.nominal.is_some(),
            "a feature in deg with timing and two directions, and a nominal: the centreline intended",
        ),
        (
            Characteristic::TopDeadCentre,
            wheel,
            "a feature in deg with two directions: the stop from either way",
        ),
        (Characteristic::Rate, has_rate(sheet, feature), RATE),
        (Characteristic::Unevenness, places > 1, "a feature with two places or more at a position"),
        (
            Characteristic::BellMouth,
            feature.stations.len() == 3,
            "a feature with three stations, the middle one second",
        ),
        (Characteristic::SpreadPercent, several, "a feature with two positions or more"),
        (Characteristic::LowestOfHighest, several, "a feature with two positions or more"),
        (
            Characteristic::Step,
            several && !worked.next.is_empty(),
            "a feature with two positions or more, and next: which stations lie nearest",
        ),
        (
            Characteristic::StripClearance,
            worked.strip_of.is_some() && feature.unit.is_length(),
            "a feature with strip-of: the pair whose clearance the strip reads",
        ),
        (Characteristic::NeighbourRunOut, has_clock(sheet, feature), CLOCK),
    ];
    let missing = needs.into_iter().find(|(of, has, _)| *of == row.characteristic && !has);
    missing.map(|(_, _, expected)| expected)
}

const RATE: &str = "a feature in a unit of load with at-height, and rate-with: another of the same positions and \
                    unit with another at-height, each read at one place";

fn has_rate(sheet: &Sheet, feature: &Feature) -> bool {
    let other = feature.worked.rate_with.and_then(|index| sheet.features.get(index));
    other.is_some_and(|other| {
        let heights = feature.worked.at_height.zip(other.worked.at_height);
        feature.unit.quantity() == Quantity::Force
            && other.unit == feature.unit
            && other.positions == feature.positions
            && is_one_place(feature)
            && is_one_place(other)
            && heights.is_some_and(|(own, other)| own != other)
    })
}

const CLOCK: &str = "a feature with two positions or more in a unit of length, and clock: another of the same \
                     positions in deg, each read at one place";

fn has_clock(sheet: &Sheet, feature: &Feature) -> bool {
    let clock = feature.worked.clock.and_then(|index| sheet.features.get(index));
    clock.is_some_and(|clock| {
        feature.positions.len() > 1
            && feature.unit.is_length()
            && clock.unit == Unit::Degree
            && clock.positions == feature.positions
            && is_one_place(feature)
            && is_one_place(clock)
    })
}

const fn is_one_place(feature: &Feature) -> bool {
    feature.stations.len() == 1 && feature.directions.len() == 1
}
