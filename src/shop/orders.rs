//! Work orders: what is out, with whom, since when, and what came back.

use crate::facts::{BackResult, Body, Counted, Day, Digest, Fact, OrderBack, OrderOut, PlaceRef, SizeWord};
use crate::metrology::Exact;
use crate::sheets::{Sheet, fold_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::places::{PartPlace, exact_of, fits_all, part_of, places_of_part, surfaces_of};
use crate::shop::said::Said;
use crate::shop::surfaces::SurfaceKey;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One work order.
#[derive(Clone, Debug)]
pub struct Order {
    /// Its number, as written.
    pub number: String,
    /// Who sent it out.
    pub said: Said,
    /// What was ordered.
    pub out: OrderOut,
    /// Its surfaces.
    pub surfaces: Vec<SurfaceKey>,
    /// Its parts.
    pub parts: Vec<PartPlace>,
    /// Days it was due before another was named, in recorded order.
    pub were_due: Vec<Day>,
    /// What came back, in recorded order.
    pub backs: Vec<Back>,
}

/// What came back of an order.
#[derive(Clone, Debug)]
pub struct Back {
    /// Who received it.
    pub said: Said,
    /// What was received.
    pub back: OrderBack,
    /// The surfaces that were worked on.
    pub surfaces: Vec<SurfaceKey>,
    /// The parts that are known to have come.
    pub parts: Vec<PartPlace>,
}

impl Back {
    /// Taken, with a note or without.
    #[must_use]
    pub const fn is_accepted(&self) -> bool {
        !matches!(self.back.result, BackResult::Refused)
    }
}

/// Pieces of one kind of part that went with an order and were not accepted back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StillOut<'a> {
    /// The part, as the order writes it.
    pub part: &'a str,
    /// How many are out.
    pub out: u64,
    /// How many went.
    pub went: u64,
}

impl StillOut<'_> {
    /// `3 of 5 main cap`.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{} of {} {}", self.out, self.went, self.part)
    }
}

impl Order {
    /// When it is due, and when it was before another day was named: `2026-03-20; before that 2026-03-13`.
    #[must_use]
    pub fn due_words(&self) -> String {
        let before = self.were_due.iter().rev().map(|day| format!("; before that {day}"));
        format!("{}{}", self.out.due, before.collect::<String>())
    }

    /// The parts are not here: nothing came back, or what came was refused.
    #[must_use]
    pub fn is_out(&self) -> bool {
        self.backs.last().is_none_or(|back| !back.is_accepted())
    }

    /// What was counted out and not accepted back yet, kind by kind.
    #[must_use]
    pub fn still_out(&self) -> Vec<StillOut<'_>> {
        let back =
            count(self.backs.iter().filter(|back| back.is_accepted()).flat_map(|back| &back.back.parts));
        let went = count(&self.out.parts).into_iter();
        let missing = went.filter_map(|(part, (name, went))| {
            let came = back.get(&part).map_or(0, |(_, came)| *came);
            (came < went).then(|| StillOut { part: name, out: went - came, went })
        });
        missing.collect()
    }

    /// Some of it came back and was taken, the rest did not: what is still out, in words; empty for every other order.
    #[must_use]
    pub fn rest_out(&self) -> String {
        if self.is_out() {
            return String::new();
        }
        self.still_out().iter().map(StillOut::words).collect::<Vec<_>>().join(", ")
    }

    /// What was accepted back before, in the same size, was not worked on a second time because somebody says more about it:
    /// that it was demagnetised, how many came. What was refused was.
    fn leave_out_what_came(
        &self,
        sheet: &Sheet,
        back: &OrderBack,
        surfaces: &mut Vec<SurfaceKey>,
        parts: &mut Vec<PartPlace>,
    ) {
        let refused = self.backs.iter().rposition(|back| !back.is_accepted());
        let since = self.backs.iter().skip(refused.map_or(0, |at| at + 1));
        let came: Vec<&Back> = since.filter(|came| came.back.finished == back.finished).collect();
        surfaces.retain(|key| !came.iter().any(|came| came.surfaces.contains(key)));
        let still_worked: Vec<PartPlace> = surfaces.iter().map(|key| part_of(sheet, *key)).collect();
        parts
            .retain(|part| still_worked.contains(part) || !came.iter().any(|came| came.parts.contains(part)));
    }

    /// Its parts that are not known to have come back; none of those it only counts while some of them came.
    pub fn parts_out(&self) -> impl Iterator<Item = PartPlace> {
        let whole = self.is_out() || !self.still_out().is_empty();
        let came = |place: &PartPlace| {
            self.backs.iter().any(|back| back.is_accepted() && back.parts.contains(place))
        };
        self.parts.iter().copied().filter(move |place| whole && !came(place))
    }

    /// Something of it was accepted back: what it asks for was done.
    #[must_use]
    pub fn has_come_back(&self) -> bool {
        self.backs.iter().any(Back::is_accepted)
    }
}

/// By folded part: its name as written and how many.
fn count<'a>(all: impl IntoIterator<Item = &'a Counted>) -> BTreeMap<String, (&'a str, u64)> {
    let mut counts: BTreeMap<String, (&str, u64)> = BTreeMap::new();
    for counted in all {
        let entry = counts.entry(fold_name(&counted.part)).or_insert((&counted.part, 0));
        entry.1 += u64::from(counted.count);
    }
    counts
}

/// Work on surfaces, done in the house or accepted back.
pub(super) struct SurfaceWork {
    pub(super) operation: String,
    pub(super) finished: Option<SizeWord>,
    pub(super) removed: Option<Exact>,
    pub(super) surfaces: Vec<SurfaceKey>,
}

/// The orders of a job, by folded number.
#[derive(Default)]
pub(super) struct Orders {
    pub(super) orders: BTreeMap<String, Order>,
    pub(super) held: Vec<Held>,
}

impl Orders {
    /// From a job's standing facts in recorded order; what goes out before what comes back, whatever the clocks said.
    pub(super) fn of(sheet: &Sheet, facts: &[&Arc<Fact>]) -> Self {
        let mut orders = Self::default();
        let all = || {
            facts.iter().filter_map(|fact| {
                let Body::WorkOrder(order) = &fact.body else { return None };
                Some((*fact, order))
            })
        };
        for (fact, order) in all() {
            if let Some(out) = &order.out {
                orders.out(sheet, fact, &order.order, out);
            }
        }
        for (fact, order) in all() {
            if let Some(back) = &order.back {
                orders.back(sheet, fact, &order.order, back);
            }
        }
        orders
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    fn out(&mut self, sheet: &Sheet, fact: &Fact, number: &str, out: &OrderOut) {
        let surfaces = surfaces(sheet, &out.places, out.finished);
        let parts = parts(sheet, &out.parts);
        let (surfaces, parts) = match (surfaces, parts) {
            (Ok(surfaces), Ok(parts)) => (surfaces, parts),
            (Err(why), _) | (_, Err(why)) => return self.hold(fact, number, why),
        };
        if let Some(first) = self.orders.get_mut(&fold_name(number)) {
            // Another day alone; whatever else it says otherwise is for people to look at.
            let is_same = OrderOut { due: first.out.due, ..out.clone() } == first.out;
            if is_same && first.out.due != out.due {
                first.were_due.push(std::mem::replace(&mut first.out.due, out.due));
                return;
            }
            let (what, stands) = (format!("work order {number}"), first.said.fact);
            return self.hold(fact, number, HeldWhy::Conflict { what, stands });
        }
        let order = Order {
            number: number.to_owned(),
            said: Said::by(fact),
            out: out.clone(),
            surfaces,
            parts,
            were_due: Vec::new(),
            backs: Vec::new(),
        };
        self.orders.insert(fold_name(number), order);
    }

    fn back(&mut self, sheet: &Sheet, fact: &Fact, number: &str, back: &OrderBack) {
        let Some(order) = self.orders.get(&fold_name(number)) else {
            return self.hold(fact, number, HeldWhy::NoSuchOrder(number.to_owned()));
        };
        let found = came(sheet, order, back).and_then(|mut parts| {
            let surfaces = if back.places.is_empty() {
                fits_all(sheet, &order.surfaces, back.finished)?;
                // Of a part that did not come nothing was worked on.
                let out = |key: &&SurfaceKey| {
                    let part = part_of(sheet, **key);
                    order.parts.contains(&part) && !parts.contains(&part)
                };
                order.surfaces.iter().filter(|key| !out(key)).copied().collect()
            } else {
                let surfaces = surfaces(sheet, &back.places, back.finished)?;
                parts.extend(surfaces.iter().map(|key| part_of(sheet, *key)));
                surfaces
            };
            parts.sort_unstable();
            parts.dedup();
            Ok((surfaces, parts))
        });
        match found {
            Ok((mut surfaces, mut parts)) => {
                if let Some(order) = self.orders.get_mut(&fold_name(number)) {
                    order.leave_out_what_came(sheet, back, &mut surfaces, &mut parts);
                    order.backs.push(Back { said: Said::by(fact), back: back.clone(), surfaces, parts });
                }
            }
            Err(why) => self.hold(fact, number, why),
        }
    }

    fn accepted(&self, fact: Digest) -> Option<(&Order, &Back)> {
        let backs = self.orders.values().flat_map(|order| order.backs.iter().map(move |back| (order, back)));
        backs.into_iter().find(|(_, back)| back.said.fact == fact && back.is_accepted())
    }

    /// Operation and parts of what was accepted back in this statement.
    pub(super) fn accepted_in(&self, fact: Digest) -> Option<(String, Vec<PartPlace>)> {
        self.accepted(fact).map(|(order, back)| (order.out.operation.clone(), back.parts.clone()))
    }

    /// The work on surfaces that was accepted back in this statement.
    pub(super) fn work_in(&self, fact: Digest) -> Option<SurfaceWork> {
        let (order, back) = self.accepted(fact)?;
        Some(SurfaceWork {
            operation: order.out.operation.clone(),
            finished: back.back.finished.or(order.out.finished),
            removed: back.back.removed.as_ref().and_then(|digits| exact_of(digits, &back.back.unit_symbol)),
            surfaces: back.surfaces.clone(),
        })
    }
}

/// The parts of an order that are known to have come with a lot: those it names; of those it only counts all, once as
/// many came as went.
fn came(sheet: &Sheet, order: &Order, back: &OrderBack) -> Result<Vec<PartPlace>, HeldWhy> {
    let kind = |counted: &Counted| sheet.part(&counted.part).map(|(kind, _)| kind);
    let sum = |all: &[Counted], of: usize| -> u64 {
        all.iter().filter(|counted| kind(counted) == Some(of)).map(|counted| u64::from(counted.count)).sum()
    };
    let mut places = Vec::new();
    for counted in &back.parts {
        let named = places_of_part(sheet, &counted.part, &counted.positions)?;
        let Some((of, _)) = named.first().copied().filter(|_| counted.positions.is_empty()) else {
            places.extend(named);
            continue;
        };
        let before = order.backs.iter().filter(|lot| lot.is_accepted()).map(|lot| sum(&lot.back.parts, of));
        if sum(&order.out.parts, of) <= before.sum::<u64>() + sum(&back.parts, of) {
            places.extend(order.parts.iter().filter(|(kind, _)| *kind == of));
        }
    }
    Ok(places)
}

fn surfaces(
    sheet: &Sheet,
    places: &[PlaceRef],
    finished: Option<SizeWord>,
) -> Result<Vec<SurfaceKey>, HeldWhy> {
    let mut keys = Vec::new();
    for place in places {
        keys.extend(surfaces_of(sheet, &place.feature, &place.positions)?);
    }
    keys.sort_unstable();
    keys.dedup();
    fits_all(sheet, &keys, finished).map(|()| keys)
}

fn parts(sheet: &Sheet, counted: &[Counted]) -> Result<Vec<PartPlace>, HeldWhy> {
    let mut places = Vec::new();
    for part in counted {
        places.extend(places_of_part(sheet, &part.part, &part.positions)?);
    }
    places.sort_unstable();
    places.dedup();
    Ok(places)
}
