//! Where heights are read: that their places are those of the stations, and fix a plane or a line.

use crate::metrology::Exact;
use crate::metrology::form::flatness::{Point, flatness, least_flat};
use crate::metrology::form::roundness;
use crate::metrology::form::straightness::{Station, least_straight, straightness};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::{Feature, SurfacePoint};
use crate::sheets::row::Row;
use crate::sheets::shape::Shape;

/// The angles of a turn, one a direction, fix a ring; lobes are declared only of diameters between two points.
pub(super) fn turned(feature: &Feature, faults: &mut Faults) {
    let angles = &feature.angles;
    let height = |angle: &Exact| roundness::Point { angle: *angle, height: Exact::ZERO };
    let ring = || roundness::roundness(&angles.iter().map(height).collect::<Vec<_>>()).is_ok();
    if !angles.is_empty() && (angles.len() != feature.directions.len() || !ring()) {
        let found = format!("{} for {} directions", angles.len(), feature.directions.len());
        let expected = "an angle for every direction, four or more, all round the turn";
        faults.push(Fault::new(format!("feature {} angles", feature.key), found, expected));
    }
    let diameter = feature.lobed
        && feature.vee.is_none()
        && angles.is_empty()
        && matches!(feature.shape, Shape::Shaft | Shape::Bore);
    if feature.lobing.is_some_and(|most| !diameter || most <= Exact::ZERO) {
        let expected =
            "how far off, above zero, of a shaft or bore that is lobed and read between two points";
        faults.push(Fault::new(format!("feature {} lobing", feature.key), "lobing", expected));
    }
}

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
    let flat = on_a_plane(feature);
    // The fits themselves say what they lack.
    let lacks = if flat.is_empty() {
        straightness(&on_a_line(feature)).err()
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

/// Points with a place across, of no height.
fn on_a_plane(feature: &Feature) -> Vec<Point> {
    let point = |point: &SurfacePoint| Some(Point { x: point.along, y: point.across?, z: Exact::ZERO });
    feature.points.iter().filter_map(point).collect()
}

fn on_a_line(feature: &Feature) -> Vec<Station> {
    feature.points.iter().map(|point| Station { at: point.along, height: Exact::ZERO }).collect()
}

/// Do any of the points lie as near to each other as a limit in any stretch of that length needs?
fn holds_points(feature: &Feature, length: Exact) -> bool {
    let flat = on_a_plane(feature);
    if flat.is_empty() {
        least_straight(&on_a_line(feature), length).is_ok_and(|found| found.is_some())
    } else {
        least_flat(&flat, length).is_ok_and(|found| found.is_some())
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
    if let Some(length) =
        row.any.filter(|length| per_length && !feature.points.is_empty() && *length > Exact::ZERO)
        && !holds_points(feature, length)
    {
        let found = format!("any {}", length.show(feature.unit));
        faults.push(Fault::new(&at, found, "a length in which points of the feature fix a plane, or a line"));
    }
}
