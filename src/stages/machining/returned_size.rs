//! Machining: work came back in the size it was ordered in. Another size is the owner's to agree or to send back.

use crate::facts::SizeWord;
use crate::judgement::Judgement;
use crate::shop::{Back, Job, Order, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let line = Line::of(Stage::Machining, BlockerRule::ReturnedSize);
    let open = came_back_other(job).map(|other| {
        let what = format!(
            "{} ordered to {}, came back {}: agree that size, send it back, or, where it is typed wrong, withdraw that word of it and write it anew",
            other.order.out.operation,
            other.ordered.show(unit),
            other.came.show(unit)
        );
        line.one(Actor::Owner, format!("work order {}", other.order.number), what)
    });
    open.collect()
}

/// What came back of an order in another size.
pub(super) struct Other<'a> {
    order: &'a Order,
    pub(super) back: &'a Back,
    ordered: SizeWord,
    came: SizeWord,
}

/// What came back in another size than ordered, and than was agreed since, and was not worked on after that.
pub(super) fn came_back_other(job: &Job) -> impl Iterator<Item = Other<'_>> {
    let backs = job.orders.values().filter(|order| !order.is_out()).flat_map(|order| {
        let accepted = order.backs.iter().filter(|back| back.is_accepted());
        accepted.filter_map(move |back| {
            let (ordered, came) = (order.out.finished?, back.back.finished.or(order.out.finished)?);
            Some(Other { order, back, ordered, came })
        })
    });
    backs.filter(|other| other.came != other.ordered && is_open(job, other))
}

fn is_open(job: &Job, other: &Other<'_>) -> bool {
    let open = |key: &SurfaceKey| {
        let last =
            job.surfaces.get(key).and_then(|s| s.done_now().filter(|done| done.finished.is_some()).last());
        last.is_some_and(|done| done.fact == other.back.said.fact)
            && job.agreed.get(key).is_none_or(|agreed| agreed.finished != Some(other.came))
    };
    let is_last = || other.order.backs.last().is_some_and(|last| last.said.fact == other.back.said.fact);
    if other.back.surfaces.is_empty() { is_last() } else { other.back.surfaces.iter().any(open) }
}
