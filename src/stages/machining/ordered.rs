//! Machining: what is ordered is what was agreed, in the same size and by the same operation.
//!
//! Asked before anything is cut, of orders of which nothing came back; what came back has rules of its own. Three kinds of
//! work need no agreement on their surfaces: what leaves the size class (a polish), a repair that somebody decided on for
//! the part, and work of a kind that no row of the sheet knows on those parts (balancing).

use crate::judgement::Judgement;
use crate::metrology::Unit;
use crate::sheets::{Feature, RemedyKind};
use crate::shop::{Agreed, Job, Order, PartPlace, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::{Line, surfaces_name};
use std::collections::BTreeMap;

/// The word for work that is none of those with a name.
const NO_NAME: &str = "other";

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let line = Line::of(Stage::Machining, BlockerRule::Ordered);
    let waiting = job.orders.values().filter(|order| !order.has_come_back() && works_metal(order));
    let open = waiting.filter_map(|order| {
        let faults = if order.surfaces.is_empty() {
            of_parts(job, order, unit)
        } else {
            of_surfaces(job, order, unit)
        };
        let what = format!("{}: agree what is ordered, or order what is agreed", faults.join("; "));
        (!faults.is_empty()).then(|| line.one(Actor::Owner, about(order), what))
    });
    open.collect()
}

/// How a blocker names an order.
pub(in crate::stages) fn about(order: &Order) -> String {
    format!("work order {}", order.number)
}

/// Parts that go to be looked at, tested or priced have no operation with a name, no surfaces and no size.
pub(in crate::stages) fn works_metal(order: &Order) -> bool {
    order.out.operation != NO_NAME || !order.surfaces.is_empty() || order.out.finished.is_some()
}

/// A named person decided that the part is worked on.
pub(in crate::stages) fn is_sent_by_word(job: &Job, place: PartPlace) -> bool {
    job.decided_on(place).is_some_and(|word| word.what.asks_for_work())
}

/// `grind to 0.010 under`.
fn work(operation: &str, finished: Option<crate::facts::SizeWord>, unit: Unit) -> String {
    let to = finished.map_or_else(String::new, |size| format!(" to {}", size.show(unit)));
    format!("{operation}{to}")
}

fn ordered(order: &Order, unit: Unit) -> String {
    work(&order.out.operation, order.out.finished, unit)
}

/// Surfaces with the same fault are one line.
fn of_surfaces(job: &Job, order: &Order, unit: Unit) -> Vec<String> {
    let mut faults: BTreeMap<(usize, String), Vec<SurfaceKey>> = BTreeMap::new();
    for key in &order.surfaces {
        if let Some(fault) = fault(job, order, *key, unit) {
            faults.entry((key.feature, fault)).or_default().push(*key);
        }
    }
    faults.into_iter().map(|((_, fault), keys)| format!("{} {fault}", surfaces_name(job, &keys))).collect()
}

fn fault(job: &Job, order: &Order, key: SurfaceKey, unit: Unit) -> Option<String> {
    let leaves_size =
        order.out.finished.is_none() && RemedyKind::of(&order.out.operation) == RemedyKind::Dress;
    let said = ordered(order, unit);
    let Some(agreed) = job.agreed.get(&key) else {
        let by_word = order.out.finished.is_none() && is_sent_by_word(job, job.part_of(key));
        return (!leaves_size && !by_word)
            .then(|| format!("is ordered: {said}, and nobody agreed to work on it"));
    };
    // What is done already may be touched up.
    let touches_up = leaves_size && job.awaited_work(key).is_none();
    (!is_as(agreed, order) && !touches_up)
        .then(|| format!("is ordered: {said}, agreed is: {}", work(&agreed.operation, agreed.finished, unit)))
}

fn is_as(agreed: &Agreed, order: &Order) -> bool {
    agreed.operation == order.out.operation && agreed.finished == order.out.finished
}

/// An order that names parts and no surfaces: somebody agreed to that work on a surface of one of them, or decided on a
/// repair; what goes along is not worked on.
fn of_parts(job: &Job, order: &Order, unit: Unit) -> Vec<String> {
    let out = &order.out;
    let on_them = |key: &SurfaceKey| order.parts.contains(&job.part_of(*key));
    let by_word = || out.finished.is_none() && order.parts.iter().any(|place| is_sent_by_word(job, *place));
    let is_known = |feature: &Feature| feature.remedies.iter().any(|known| known.operation == out.operation);
    let on_sheet =
        job.surfaces.keys().filter(|key| on_them(key)).any(|key| job.feature(*key).is_some_and(is_known));
    if by_word() || (out.finished.is_none() && !on_sheet) {
        return Vec::new();
    }
    let agreed: Vec<(&SurfaceKey, &Agreed)> = job.agreed.iter().filter(|(key, _)| on_them(key)).collect();
    let fits = |agreed: &Agreed| {
        agreed.operation == out.operation && (out.finished.is_none() || agreed.finished == out.finished)
    };
    if agreed.iter().any(|(_, agreed)| fits(agreed)) {
        return Vec::new();
    }
    let said = format!("{} is ordered: {}", job.parts_name(&order.parts), ordered(order, unit));
    if agreed.is_empty() {
        return vec![format!("{said}, and nobody agreed to work on it")];
    }
    let mut works: BTreeMap<(usize, String), Vec<SurfaceKey>> = BTreeMap::new();
    for (key, agreed) in agreed {
        let words = work(&agreed.operation, agreed.finished, unit);
        works.entry((key.feature, words)).or_default().push(*key);
    }
    let works = works.into_iter().map(|((_, words), keys)| format!("{} {words}", surfaces_name(job, &keys)));
    vec![format!("{said}, agreed is: {}", works.collect::<Vec<_>>().join(", "))]
}
