//! Machining: as many parts came back as went out, caps and bolts too.

use crate::facts::Counted;
use crate::judgement::Judgement;
use crate::sheets::fold_name;
use crate::shop::{Back, Job, Order};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use std::collections::BTreeMap;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Machining, BlockerRule::CountedBack);
    let back = job.orders.values().filter(|order| !order.is_out());
    let open = back.filter_map(|order| {
        let short = short(order);
        (!short.is_empty()).then(|| {
            let what = format!("{} came back: count again, or get the rest", short.join("; "));
            line.one(Actor::Machinist, format!("work order {}", order.number), what)
        })
    });
    open.collect()
}

fn short(order: &Order) -> Vec<String> {
    let accepted = order.backs.iter().filter(|back| Back::is_accepted(back));
    let back = count(accepted.flat_map(|back| &back.back.parts));
    let out = count(&order.out.parts);
    let missing = out.into_iter().filter_map(|(part, (name, went))| {
        let came = back.get(&part).map_or(0, |(_, came)| *came);
        (came < went).then(|| format!("{came} of {went} {name}"))
    });
    missing.collect()
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
