//! A sheet is checked by computing: what it states must be what its own numbers give.
//!
//! `rows` holds limits against each other, `stacks` computes every stack at every size, `printed` the other unit,
//! `geometry` the printed compression ratio, `hardware` groups, patterns and threads, `torque` how hard a bolt is pulled. What contradicts itself is a
//! fault and the sheet is refused. What is only out of the ordinary ([`questions`]) is asked and refuses
//! nothing: a range is a rule of thumb, and the maker governs.

mod geometry;
mod hardware;
mod points;
mod printed;
mod rows;
mod stacks;
mod torque;
mod worked;

pub use hardware::{Engagement, engagements};
pub use printed::{Conversion, conversions};
pub use stacks::{Agreement, agreements};
pub use torque::{ProofLoad, clamp_instead, proof_loads, questions, usual_torque};

use crate::metrology::{Exact, Unit};
use crate::sheets::Sheet;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::Feature;
use crate::sheets::limits::Limits;
use crate::sheets::names::fold_name;
use crate::sheets::pair::{Member, Pair};
use crate::sheets::row::Row;
use crate::sheets::shape::Shape;

pub(super) fn check(sheet: &Sheet, faults: &mut Faults) {
    unique(sheet, faults);
    for feature in &sheet.features {
        places(feature, faults);
        points::fit(feature, faults);
        points::turned(feature, faults);
        sizes(feature, faults);
        grades(feature, faults);
        rows::gaskets(feature, faults);
        for row in &feature.rows {
            rows::fits(feature, row, faults);
            points::of_row(feature, row, faults);
            worked::of_row(sheet, feature, row, faults);
            rows::ordered(row, Some(feature.shape), row.unit, faults);
        }
        rows::totals(feature, faults);
    }
    for pair in &sheet.pairs {
        rows::ordered(&pair.row, None, sheet.unit, faults);
        pair_fits(sheet, pair, faults);
    }
    hardware::check(sheet, faults);
    if faults.is_empty() {
        stacks::check(sheet, faults);
        printed::check(sheet, faults);
        geometry::check(sheet, faults);
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
