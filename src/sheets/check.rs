//! A sheet is checked by computing: what it states must be what its own numbers give.

use crate::metrology::{Exact, Unit};
use crate::sheets::Sheet;
use crate::sheets::characteristic::{Characteristic, Shape};
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::{Feature, SizeSeries};
use crate::sheets::limits::Limits;
use crate::sheets::names::fold_name;
use crate::sheets::pair::{Member, Pair};
use crate::sheets::row::Row;

/// One stack that was computed and compared with the clearance the sheet states.
#[derive(Clone, Debug)]
pub struct Agreement {
    /// Key of the pair.
    pub pair: String,
    /// At which size or grade.
    pub at: String,
    /// What the members' limits give.
    pub computed: Limits,
    /// What the sheet states.
    pub stated: Limits,
}

impl Agreement {
    /// Computed and stated are the same, exactly.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.computed == self.stated
    }
}

/// Every stack of the sheet at new limits, at every grade and at every size its members have in common.
#[must_use]
pub fn agreements(sheet: &Sheet) -> Vec<Agreement> {
    sheet.pairs.iter().flat_map(|pair| pair_agreements(sheet, pair)).collect()
}

pub(super) fn check(sheet: &Sheet, faults: &mut Faults) {
    unique(sheet, faults);
    for feature in &sheet.features {
        places(feature, faults);
        sizes(feature, faults);
        grades(feature, faults);
        gaskets(feature, faults);
        for row in &feature.rows {
            row_fits(feature, row, faults);
            ordered(row, Some(feature.shape), feature.unit, faults);
        }
    }
    for pair in &sheet.pairs {
        ordered(&pair.row, None, sheet.unit, faults);
        pair_fits(sheet, pair, faults);
    }
    if faults.is_empty() {
        for agreement in agreements(sheet).iter().filter(|a| !a.holds()) {
            let at = format!("pair {} at {}", agreement.pair, agreement.at);
            let found = format!("stated {}", shown(&agreement.stated, sheet.unit));
            faults.push(Fault::new(
                at,
                found,
                format!("{}, from its members", shown(&agreement.computed, sheet.unit)),
            ));
        }
    }
}

fn shown(limits: &Limits, unit: Unit) -> String {
    let bound = |b: Option<Exact>| b.map_or_else(|| "-".to_owned(), |b| b.show(unit));
    format!("{} to {}", bound(limits.min), bound(limits.max))
}

fn unique(sheet: &Sheet, faults: &mut Faults) {
    // One row of the printed sheet may be about several features (both kinds of journal) and several
    // characteristics (wear explains a size), so the three together are the name.
    let named = |r: &Row, of: &str| format!("{} {} of {}", r.number, r.characteristic.word(), fold_name(of));
    let of_features = sheet.features.iter().flat_map(|f| f.rows.iter().map(|r| named(r, &f.key)));
    let of_pairs = sheet.pairs.iter().map(|p| named(&p.row, &p.key));
    repeated("row", of_features.chain(of_pairs), faults);
    repeated("feature", sheet.features.iter().map(|f| fold_name(&f.key)), faults);
    // As pages and letters name them: "bore" at "1" and "bore 1" with one position would be one thing to be told of.
    repeated("surface", sheet.features.iter().flat_map(surface_names), faults);
    repeated("part", sheet.parts.iter().map(|p| fold_name(&p.key)), faults);
    repeated("pair", sheet.pairs.iter().map(|p| fold_name(&p.key)), faults);
    repeated("scope", sheet.scopes.iter().map(|s| fold_name(&s.key)), faults);
}

fn surface_names(feature: &Feature) -> Vec<String> {
    let whole = feature.positions.len() == 1;
    let name =
        |position: &String| if whole { feature.key.clone() } else { format!("{} {position}", feature.key) };
    feature.positions.iter().map(name).map(|name| fold_name(&name)).collect()
}

fn repeated(what: &str, names: impl Iterator<Item = String>, faults: &mut Faults) {
    let mut seen = std::collections::BTreeSet::new();
    for name in names {
        if !seen.insert(name.clone()) {
            faults.push(Fault::new(format!("{what} {name}"), "the same name twice", "each once"));
        }
    }
}

fn places(feature: &Feature, faults: &mut Faults) {
    let at = format!("feature {}", feature.key);
    for (what, names) in
        [("position", &feature.positions), ("station", &feature.stations), ("direction", &feature.directions)]
    {
        if names.is_empty() {
            faults.push(Fault::new(&at, format!("no {what}"), format!("at least one {what}")));
        }
        repeated(&format!("{at} {what}"), names.iter().map(|n| fold_name(n)), faults);
    }
    let stations = feature.stations.iter().chain(&feature.unworn);
    repeated(&format!("{at} station"), stations.map(|n| fold_name(n)), faults);
}

fn sizes(feature: &Feature, faults: &mut Faults) {
    let Some(series) = &feature.sizes else { return };
    let at = format!("feature {} sizes", feature.key);
    for steps in [&series.select_fit, &series.steps] {
        let ascending = steps.windows(2).all(|pair| matches!(pair, [a, b] if a < b));
        if !ascending || steps.iter().any(|s| *s <= Exact::ZERO) {
            faults.push(Fault::new(&at, "steps out of order", "steps above zero that ascend"));
        }
    }
    if feature.shape == Shape::Bore && series.sign < 0 {
        faults.push(Fault::new(&at, "under", "over: a bore is finished to oversizes"));
    }
    if series.finish.width().is_none_or(|w| w.is_negative()) {
        faults.push(Fault::new(&at, "finish limits", "finish limits with min and max in this order"));
    }
}

fn grades(feature: &Feature, faults: &mut Faults) {
    let Some(new) = feature.new_limits(None) else { return };
    let at = format!("feature {} grades", feature.key);
    for (grade, limits) in &feature.grades {
        let inside = |bound: Option<Exact>| bound.is_some_and(|b| new.outside(b).is_none());
        if !inside(limits.min) || !inside(limits.max) || limits.width().is_none_or(|w| w.is_negative()) {
            faults.push(Fault::new(
                &at,
                format!("grade {grade}"),
                "min and max in order, inside the new limits",
            ));
        }
    }
}

fn row_fits(feature: &Feature, row: &Row, faults: &mut Faults) {
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
    match row.characteristic {
        Characteristic::Size => {
            row.new.and_then(|n| n.width()).is_none().then_some("new limits with min and max")
        }
        Characteristic::OutOfRound => {
            (!(2..=3).contains(&directions)).then_some("a feature with two or three directions")
        }
        Characteristic::Taper => (stations < 2).then_some("a feature with two stations or more"),
        Characteristic::Lift => {
            (directions > 3).then_some("a feature read by dial, or over the nose and across the base circle")
        }
        Characteristic::Spread => {
            (feature.positions.len() < 2).then_some("a feature with two positions or more")
        }
        Characteristic::Removed => {
            row.after_work.is_none().then_some("an after-work max: the total that may ever be removed")
        }
        other if !other.is_of_features() => {
            Some("clearance and interference under pairs, not under a feature")
        }
        _ => None,
    }
}

/// Choices by protrusion have no holes: each band begins where the one before ends, and the last ends where
/// the new limits do.
fn gaskets(feature: &Feature, faults: &mut Faults) {
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
    if new.max != Some(last.up_to) {
        let found = last.up_to.show(feature.unit);
        faults.push(Fault::new(&at, found, "a last band that ends at the new max"));
    }
}

/// Limits are ordered: min below max, service no tighter than new on the side it names.
fn ordered(row: &Row, shape: Option<Shape>, unit: Unit, faults: &mut Faults) {
    let at = format!("row {}", row.number);
    for limits in [row.new, row.service, row.after_work].into_iter().flatten() {
        if limits.width().is_some_and(|w| w.is_negative()) {
            faults.push(Fault::new(&at, shown(&limits, unit), "min not above max"));
        }
    }
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

fn pair_fits(sheet: &Sheet, pair: &Pair, faults: &mut Faults) {
    let at = format!("pair {}", pair.key);
    if !pair.row.characteristic.is_of_pairs() {
        let expected = "clearance, interference, end play or side clearance";
        faults.push(Fault::new(&at, pair.row.characteristic.word(), expected));
    }
    if pair.row.new.and_then(|n| n.width()).is_none() {
        faults.push(Fault::new(&at, "no new limits", "new limits with min and max"));
    }
    let shape = |member: &Member| sheet.features.get(member.feature).map(|f| f.shape);
    let outer = matches!(shape(&pair.outer), Some(Shape::Bore | Shape::Grows));
    let inner = matches!(shape(&pair.inner), Some(Shape::Shaft | Shape::Wall | Shape::Shrinks));
    if !outer || !inner {
        let expected = "a bore or gap outside and a shaft or width inside";
        faults.push(Fault::new(&at, "outer and inner", expected));
    }
    let lengths = pair.members().filter_map(|m| sheet.features.get(m.feature)).all(|f| f.unit.is_length());
    if !lengths {
        faults.push(Fault::new(&at, "a member that is no length", "members measured in in or mm"));
    }
    if pair.walls.as_ref().is_some_and(|w| shape(w) != Some(Shape::Wall)) {
        faults.push(Fault::new(&at, "walls", "a feature of shape wall"));
    }
    let positions: Vec<_> =
        pair.members().filter_map(|m| sheet.features.get(m.feature)).map(|f| &f.positions).collect();
    if positions.windows(2).any(|two| matches!(two, [a, b] if a != b)) {
        faults.push(Fault::new(&at, "different positions", "members with the same positions"));
    }
}

fn pair_agreements(sheet: &Sheet, pair: &Pair) -> Vec<Agreement> {
    let feature = |member: &Member| sheet.features.get(member.feature);
    let (Some(outer), Some(inner), Some(stated)) = (feature(&pair.outer), feature(&pair.inner), pair.row.new)
    else {
        return Vec::new();
    };
    let walls = pair.walls.as_ref().and_then(|w| feature(w).map(|f| (wall_terms(w, f), f)));
    let negated = pair.row.characteristic == Characteristic::Interference;
    let agreement = |at: String, computed: Limits| {
        let computed = if negated { computed.negated() } else { computed };
        Agreement { pair: pair.key.clone(), at, computed, stated }
    };
    let mut found = Vec::new();
    if pair.by_grade {
        for ((grade, bore), (_, shaft)) in outer.grades.iter().zip(&inner.grades) {
            found.push(agreement(format!("grade {grade}"), stack(*bore, None, *shaft)));
        }
    } else if let (Some(bore), Some(shaft)) = (outer.new_limits(None), inner.new_limits(None)) {
        let wall = walls.and_then(|(count, f)| Some((count, f.new_limits(None)?)));
        found.push(agreement("standard".to_owned(), stack(bore, wall, shaft)));
    }
    // The machined member leads: every size it can be finished to must find its fellows.
    let machined: Option<&SizeSeries> =
        if walls.is_some() { inner.sizes.as_ref() } else { outer.sizes.as_ref() };
    for step in machined.iter().flat_map(|series| &series.steps).copied() {
        let bore = if walls.is_some() { outer.new_limits(None) } else { outer.new_limits(Some(step)) };
        let shaft = at_step(inner, step);
        let wall = walls.map(|(count, f)| at_step(f, step).map(|limits| (count, limits)));
        // Where nothing can be bought for a size, the stack cannot exist and so does not agree.
        let computed = match (bore, shaft, wall) {
            (Some(bore), Some(shaft), None) => stack(bore, None, shaft),
            (Some(bore), Some(shaft), Some(Some(wall))) => stack(bore, Some(wall), shaft),
            (Some(_) | None, Some(_) | None, Some(_) | None) => Limits { min: None, max: None },
        };
        found.push(agreement(format!("size {}", step.show(sheet.unit)), computed));
    }
    found
}

fn at_step(feature: &Feature, step: Exact) -> Option<Limits> {
    feature.sizes.as_ref().filter(|series| series.has(step)).map(|series| series.finished(step))
}

fn wall_terms(member: &Member, feature: &Feature) -> i32 {
    let stations = if member.stations.is_empty() { feature.stations.len() } else { member.stations.len() };
    i32::try_from(stations).unwrap_or(i32::MAX)
}

fn stack(outer: Limits, wall: Option<(i32, Limits)>, inner: Limits) -> Limits {
    let walls = |bound: fn(&Limits) -> Option<Exact>| {
        wall.and_then(|(count, limits)| bound(&limits).map(|b| b * count)).unwrap_or(Exact::ZERO)
    };
    Limits {
        min: outer.min.zip(inner.max).map(|(o, i)| o - walls(|w| w.max) - i),
        max: outer.max.zip(inner.min).map(|(o, i)| o - walls(|w| w.min) - i),
    }
}
