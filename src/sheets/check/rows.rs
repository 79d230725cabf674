//! Rows: what a characteristic needs, and limits against each other.

use super::shown;
use crate::metrology::{Exact, Unit};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::Feature;
use crate::sheets::row::Row;
use crate::sheets::shape::Shape;

pub(super) fn fits(feature: &Feature, row: &Row, faults: &mut Faults) {
    let at = format!("row {}", row.number);
    if let Some(expected) = what_it_needs(feature, row) {
        faults.push(Fault::new(&at, row.characteristic.word(), expected));
    }
    let columns = [row.new, row.service, row.after_work];
    let above = row.characteristic.is_limited_from_above();
    if above && columns.iter().flatten().any(|limits| limits.max.is_none()) {
        faults.push(Fault::new(&at, "no max", "a max: form and wear are limited from above"));
    }
    if feature.row(row.characteristic).is_some_and(|first| first.number != row.number) {
        faults.push(Fault::new(
            &at,
            row.characteristic.word(),
            "one row for each characteristic of a feature",
        ));
    }
}

fn what_it_needs(feature: &Feature, row: &Row) -> Option<&'static str> {
    let (stations, directions) = (feature.stations.len(), feature.directions.len());
    let needs = [
        (Characteristic::Size, row.new.and_then(|n| n.width()).is_some(), "new limits with min and max"),
        (
            Characteristic::OutOfRound,
            (2..=3).contains(&directions) || feature.vee.is_some(),
            "a feature with two or three directions, or turned in a vee",
        ),
        (
            Characteristic::Roundness,
            feature.angles.len() >= 4 && feature.unit.is_length(),
            "a feature in a unit of length with angles: four or more, where heights are read over a turn",
        ),
        (Characteristic::Taper, stations > 1, "a feature with two stations or more"),
        (
            Characteristic::Lift,
            directions <= 3 || !feature.worked.heel.is_empty(),
            "a feature read by dial, or over the nose and across the base circle",
        ),
        (Characteristic::Spread, feature.positions.len() > 1, "a feature with two positions or more"),
        (
            Characteristic::Removed,
            row.after_work.is_some(),
            "an after-work max: the total that may ever be removed",
        ),
    ];
    if !row.characteristic.is_of_features() {
        return Some("clearance and interference under pairs, not under a feature");
    }
    let missing = needs.into_iter().find(|(of, has, _)| *of == row.characteristic && !has);
    missing.map(|(_, _, expected)| expected)
}

/// Choices by protrusion have no holes: each band begins where the one before ends, and the last ends where
/// the new limits do.
pub(super) fn gaskets(feature: &Feature, faults: &mut Faults) {
    let Some(last) = feature.gaskets.last() else { return };
    let at = format!("feature {} gaskets", feature.key);
    let Some(new) = feature.row(Characteristic::Protrusion).and_then(|row| row.new) else {
        return faults.push(Fault::new(&at, "no protrusion row", "a protrusion row with new limits"));
    };
    let edges: Vec<Exact> =
        new.min.into_iter().chain(feature.gaskets.iter().map(|gasket| gasket.up_to)).collect();
    if !edges.windows(2).all(|two| matches!(two, [a, b] if a < b)) || new.min.is_none() {
        faults.push(Fault::new(&at, "bands out of order", "bands that ascend from the new min"));
    }
    squish(feature, &edges, &at, faults);
    if new.max != Some(last.up_to) {
        let found = last.up_to.show(feature.unit);
        faults.push(Fault::new(&at, found, "a last band that ends at the new max"));
    }
}

/// Every gasket leaves the squish the sheet asks for, at both ends of what it serves.
fn squish(feature: &Feature, edges: &[Exact], at: &str, faults: &mut Faults) {
    let Some(squish) = feature.squish else { return };
    for (gasket, edges) in feature.gaskets.iter().zip(edges.windows(2)) {
        let left = edges.iter().map(|edge| gasket.thickness - *edge);
        for outside in left.filter(|left| squish.outside(*left).is_some()) {
            let found = format!("{} leaves {}", gasket.name, outside.show(feature.unit));
            faults.push(Fault::new(at, found, format!("a squish of {}", shown(&squish, feature.unit))));
        }
    }
}

/// Limits are ordered: min below max, service no tighter than new on the side it names.
pub(super) fn ordered(row: &Row, shape: Option<Shape>, unit: Unit, faults: &mut Faults) {
    let at = format!("row {}", row.number);
    for limits in [row.new, row.service, row.after_work].into_iter().flatten() {
        if limits.width().is_some_and(|w| w.is_negative()) {
            faults.push(Fault::new(&at, shown(&limits, unit), "min not above max"));
        }
    }
    after_work_between(row, unit, faults);
    let (Some(new), Some(service)) = (row.new, row.service) else { return };
    let tighter_max = matches!((new.max, service.max), (Some(n), Some(s)) if s < n);
    let tighter_min = matches!((new.min, service.min), (Some(n), Some(s)) if n < s);
    if tighter_max || tighter_min {
        let found = format!("service {}", shown(&service, unit));
        faults.push(Fault::new(&at, found, format!("no tighter than new {}", shown(&new, unit))));
    }
    let wrong_side = row.characteristic == Characteristic::Size
        && match shape {
            Some(Shape::Bore | Shape::Grows) => service.max.is_none(),
            Some(Shape::Shaft | Shape::Wall | Shape::Shrinks) => service.min.is_none(),
            Some(Shape::Either) | None => false,
        };
    if wrong_side {
        faults.push(Fault::new(
            &at,
            format!("service {}", shown(&service, unit)),
            "the side that wear goes to",
        ));
    }
}

/// What was cut may be worse than new, but no worse than what would be reused uncut.
fn after_work_between(row: &Row, unit: Unit, faults: &mut Faults) {
    let (Some(new), Some(after)) = (row.new, row.after_work) else { return };
    let service = row.service.unwrap_or(after);
    let ascend = |a: Option<Exact>, b: Option<Exact>, c: Option<Exact>| {
        let least = [a, b, c].into_iter().flatten().collect::<Vec<_>>();
        least.is_sorted()
    };
    let low = after.min.is_none() || ascend(service.min, after.min, new.min);
    let high = after.max.is_none() || ascend(new.max, after.max, service.max);
    if !low || !high {
        let expected = format!("between new {} and service", shown(&new, unit));
        faults.push(Fault::new(
            format!("row {}", row.number),
            format!("after work {}", shown(&after, unit)),
            expected,
        ));
    }
}

/// A limit after work and the total that may ever be removed belong together: from new, the total must reach the
/// limit, or the limit could never be what decides.
pub(super) fn totals(feature: &Feature, faults: &mut Faults) {
    let removed = feature.row(Characteristic::Removed).and_then(|row| row.after_work);
    let Some(total) = removed.and_then(|limits| limits.max) else { return };
    for row in feature.rows.iter().filter(|row| row.characteristic != Characteristic::Removed) {
        let (Some(new), Some(after)) = (row.new, row.after_work) else { continue };
        let reached = |new: Exact, after: Exact| new - total <= after;
        let low = new.min.zip(after.min).is_none_or(|(new, after)| reached(new, after));
        // Where the limit allows more than new (a sunk valve), taking the total off must bring it back.
        let high = new.max.zip(after.max).is_none_or(|(new, after)| reached(after, new));
        if !low || !high {
            faults.push(Fault::new(
                format!("row {}", row.number),
                format!("after work {}", shown(&after, feature.unit)),
                format!(
                    "what taking off a total of {} from new {} reaches",
                    total.show(feature.unit),
                    shown(&new, feature.unit)
                ),
            ));
        }
    }
}
