//! Choices that fill a drop from what is known already: the work and the estimate of a plan, an order for agreed work, an order
//! that is out, parts that are wanted or on their way. What a person must see for themselves (a size, a result) stays empty.

use crate::facts::{Counted, SizeWord, SupplyState};
use crate::metrology::Unit;
use crate::pages::JobView;
use crate::pages::bench_form::knows::{Fill, with};
use crate::pages::plan::offered;
use crate::planning::to_order;
use crate::sheets::Sheet;
use crate::shop::{Agreed, Job, Order, PartPlace, StillOut, SupplyNow, SurfaceKey};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// By kind of drop.
pub(super) fn of(view: &JobView, sheet: &Sheet) -> [(&'static str, Vec<Fill>); 4] {
    let (mut decisions, mut accounts) = (Vec::new(), Vec::new());
    for plan in offered(view) {
        let words = format!("plan {}: {}", plan.letter, plan.in_short);
        decisions.extend(plan.agreed.map(|values| Fill { words: words.clone(), values }));
        accounts.push(Fill { words, values: plan.estimate });
    }
    let job = &view.job;
    let orders = backs(job, sheet).into_iter().chain(outs(job, sheet)).collect();
    [
        ("decision", decisions),
        ("account", accounts),
        ("work-order", orders),
        ("supply", supplies(job, sheet.unit)),
    ]
}

/// Orders whose parts are out.
fn backs(job: &Job, sheet: &Sheet) -> Vec<Fill> {
    let whole = |order: &Order| {
        let of = |part: &Counted| {
            let positions: Vec<&str> = part.positions.iter().map(|position| position.0.as_str()).collect();
            json!({"part": part_key(sheet, &part.part), "positions": positions, "count": part.count})
        };
        order.out.parts.iter().map(of).collect::<Value>()
    };
    // Of what is still out nobody knows which position came.
    let rest = |order: &Order| {
        let of = |out: &StillOut<'_>| json!({"part": part_key(sheet, out.part), "count": out.out});
        order.still_out().iter().map(of).collect::<Value>()
    };
    let fill = |order: &Order| {
        let parts = if order.is_out() { whole(order) } else { rest(order) };
        let words = format!("{} is back from {}", order.number, order.out.to);
        Fill { words, values: json!({"order": order.number, "back": {"parts": parts}}) }
    };
    job.orders.values().filter(|order| order.is_out() || !order.rest_out().is_empty()).map(fill).collect()
}

/// A part as the sheet writes it, which is what a form chooses from.
fn part_key(sheet: &Sheet, written: &str) -> String {
    sheet.part(written).map_or_else(|| written.to_owned(), |(_, part)| part.key.clone())
}

/// Agreed work that nobody did and no order has: one order for each operation and size.
fn outs(job: &Job, sheet: &Sheet) -> Vec<Fill> {
    let is_ordered = |key: &SurfaceKey| job.orders.values().any(|order| order.surfaces.contains(key));
    let mut by_work: BTreeMap<(&str, String), Vec<SurfaceKey>> = BTreeMap::new();
    for key in job.agreed.keys().filter(|key| !is_ordered(key)) {
        if let Some(Agreed { operation, finished, .. }) = job.awaited_work(*key) {
            let size = finished.map_or_else(String::new, |size| size.show(sheet.unit));
            by_work.entry((operation, size)).or_default().push(*key);
        }
    }
    let fill = |((operation, size), keys): ((&str, String), Vec<SurfaceKey>)| {
        let parts = counted(sheet, keys.iter().map(|key| job.part_of(*key)));
        let out = json!({"operation": operation, "parts": parts, "places": places(sheet, &keys)});
        let out = with(with(out, "finished", size.clone()), "unit", unit_of(&size, sheet.unit));
        let names: BTreeSet<&str> =
            keys.iter().filter_map(|key| Some(sheet.features.get(key.feature)?.key.as_str())).collect();
        let names = names.into_iter().collect::<Vec<_>>().join(", ");
        Fill {
            words: format!("send out: {operation} {names} {size}").trim_end().to_owned(),
            values: json!({"out": out}),
        }
    };
    by_work.into_iter().map(fill).collect()
}

/// What is wanted, and what was ordered and is not here.
fn supplies(job: &Job, unit: Unit) -> Vec<Fill> {
    let item = |item: &str, size: Option<SizeWord>, count: u32| {
        let size = size.map_or_else(String::new, |size| size.show(unit));
        let words = format!("{item} {size}, {count}").replace(" ,", ",");
        (
            words,
            with(
                with(json!({"item": item, "count": count}), "size", size.clone()),
                "unit",
                unit_of(&size, unit),
            ),
        )
    };
    let wanted = to_order(job).into_iter().map(|need| {
        let (words, values) = item(&need.item, need.size, need.count);
        Fill { words: format!("{words}: {}", need.known()), values }
    });
    let on_the_way = job.books.supplies.iter().filter(|now| is_awaited(now)).map(|now| {
        let (words, values) = item(&now.supply.item, now.supply.size, now.supply.count);
        Fill { words: format!("{words}: {}", now.supply.state.word()), values }
    });
    on_the_way.chain(wanted).collect()
}

/// Ordered, and not here.
fn is_awaited(now: &SupplyNow) -> bool {
    matches!(now.supply.state, SupplyState::Ordered | SupplyState::BackOrdered | SupplyState::Late)
}

/// A unit is said with a size only.
fn unit_of(size: &str, unit: Unit) -> String {
    if size.is_empty() { String::new() } else { unit.symbol().to_owned() }
}

/// Part kinds with their positions and how many of each.
fn counted(sheet: &Sheet, places: impl Iterator<Item = PartPlace>) -> Value {
    let mut by_kind: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for (kind, position) in places {
        by_kind.entry(kind).or_default().insert(position);
    }
    let one = |(kind, at): (usize, BTreeSet<usize>)| {
        let part = sheet.parts.get(kind)?;
        let named: Vec<&String> =
            at.iter().filter_map(|at| part.positions.get(*at)).filter(|p| !p.is_empty()).collect();
        Some(json!({"part": part.key, "positions": named, "count": at.len()}))
    };
    by_kind.into_iter().filter_map(one).collect()
}

fn places(sheet: &Sheet, keys: &[SurfaceKey]) -> Value {
    let mut by_feature: BTreeMap<usize, Vec<&String>> = BTreeMap::new();
    for key in keys {
        let position =
            sheet.features.get(key.feature).and_then(|feature| feature.positions.get(key.position));
        by_feature.entry(key.feature).or_default().extend(position.filter(|position| !position.is_empty()));
    }
    let one = |(feature, positions): (usize, Vec<&String>)| {
        Some(json!({"feature": sheet.features.get(feature)?.key, "positions": positions}))
    };
    by_feature.into_iter().filter_map(one).collect()
}
