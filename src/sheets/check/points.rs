//! Where heights are read: that their places are those of the stations, and fix a plane or a line.

use crate::metrology::Exact;
use crate::metrology::form::flatness::{Point, flatness};
use crate::metrology::form::straightness::{Station, straightness};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::Feature;
use crate::sheets::row::Row;

pub(super) fn fit(feature: &Feature, faults: &mut Faults) {
    if feature.points.is_empty() {
        return;
    }
    let at = format!("feature {} points", feature.key);
    if feature.points.len() != feature.stations.len() {
        let expected = format!("one for each of the {} stations", feature.stations.len());
        return faults.push(Fault::new(&at, feature.points.len().to_string(), expected));
    }
    if !feature.unit.is_length() {
        faults.push(Fault::new(&at, feature.unit.symbol(), "heights in a unit of length"));
    }
    if !feature.unworn.is_empty() {
        faults.push(Fault::new(&at, "an unworn band", "no unworn band: heights have no size"));
    }
    let flat: Vec<Point> = feature
        .points
        .iter()
        .filter_map(|point| Some(Point { x: point.along, y: point.across?, z: Exact::ZERO }))
        .collect();
    // The fits themselves say what they lack.
    let lacks = if flat.is_empty() {
        let station = |along| Station { at: along, height: Exact::ZERO };
        straightness(&feature.points.iter().map(|point| station(point.along)).collect::<Vec<_>>()).err()
    } else {
        if flat.len() != feature.points.len() {
            faults.push(Fault::new(&at, "some points without across", "across at every point or at none"));
        }
        if feature.directions.len() > 1 {
            faults.push(Fault::new(
                &at,
                "several directions",
                "one direction: a surface has one height a point",
            ));
        }
        flatness(&flat).err()
    };
    if let Some(lacks) = lacks {
        faults.push(Fault::new(&at, lacks.to_string(), "points that fix a plane, or along only a line"));
    }
}

/// What a row judges of heights, and in which length.
pub(super) fn of_row(feature: &Feature, row: &Row, faults: &mut Faults) {
    let at = format!("row {}", row.number);
    let per_length = row.characteristic == Characteristic::FlatnessPerLength;
    if per_length && feature.points.is_empty() {
        faults.push(Fault::new(
            &at,
            row.characteristic.word(),
            "a feature with points, where heights are read",
        ));
    }
    if per_length != row.any.is_some_and(|length| length > Exact::ZERO) {
        let expected = "any, a length above zero, with flatness per length and with nothing else";
        faults.push(Fault::new(&at, row.characteristic.word(), expected));
    }
}
