//! Stacks: what the limits of parts give together, at every size, grade and after work.

use super::shown;
use crate::metrology::{Exact, Unit};
use crate::sheets::Sheet;
use crate::sheets::characteristic::Characteristic;
use crate::sheets::fault::{Fault, Faults};
use crate::sheets::feature::{Feature, SizeSeries};
use crate::sheets::limits::Limits;
use crate::sheets::pair::{Member, Pair};
use crate::sheets::row::{Row, Term};

/// One stack that was computed and compared with the limits the sheet states.
#[derive(Clone, Debug)]
pub struct Agreement {
    /// `pair main clearance`, `row 28 crankshaft end play`.
    pub of: String,
    /// At which size or grade, new or after work.
    pub at: String,
    /// The unit to show it in.
    pub unit: Unit,
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

/// Every stack of the sheet: of pairs at new limits, at every grade and at every size their members have in
/// common, and of rows that state what they are made of.
#[must_use]
pub fn agreements(sheet: &Sheet) -> Vec<Agreement> {
    let pairs = sheet.pairs.iter().flat_map(|pair| pair_agreements(sheet, pair));
    let rows = sheet.features.iter().flat_map(|f| f.rows.iter().flat_map(|row| row_agreements(f, row)));
    pairs.chain(rows).collect()
}

pub(super) fn check(sheet: &Sheet, faults: &mut Faults) {
    for agreement in agreements(sheet).iter().filter(|a| !a.holds()) {
        faults.push(Fault::new(
            format!("{} at {}", agreement.of, agreement.at),
            format!("stated {}", shown(&agreement.stated, agreement.unit)),
            format!("{}, from its members", shown(&agreement.computed, agreement.unit)),
        ));
    }
}

fn row_agreements(feature: &Feature, row: &Row) -> Vec<Agreement> {
    let nominal = row.nominal.map(|n| Limits { min: Some(n), max: Some(n) });
    let nothing = Limits { min: None, max: None };
    let agreement = |at: &str, computed: Limits, stated: Option<Limits>| Agreement {
        of: format!("row {} {}", row.number, feature.key),
        at: at.to_owned(),
        unit: row.unit,
        computed,
        stated: stated.unwrap_or(nothing),
    };
    let new = row.computed(|term| term.new).map(|found| agreement("new", found, row.new.or(nominal)));
    let cut = |term: &Term| term.after_work.unwrap_or(term.new);
    let worked = row.computed(cut).filter(|_| row.stack.iter().any(|term| term.after_work.is_some()));
    new.into_iter().chain(worked.map(|found| agreement("after work", found, row.after_work))).collect()
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
        Agreement { of: format!("pair {}", pair.key), at, unit: sheet.unit, computed, stated }
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
    i32::try_from(member.stations_of(feature).len()).unwrap_or(i32::MAX)
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
