//! Machining: work came back in the size it was ordered in. Another size is the owner's to agree or to send back.

use crate::judgement::Judgement;
use crate::shop::{Job, Order};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let line = Line::of(Stage::Machining, BlockerRule::ReturnedSize);
    let open = came_back_other(job).filter_map(|order| {
        let (ordered, came) = (order.out.finished?, order.returned_size()?);
        let what = format!(
            "{} ordered to {}, came back {}: agree that size, or send it back",
            order.out.operation,
            ordered.show(unit),
            came.show(unit)
        );
        Some(line.one(Actor::Owner, format!("work order {}", order.number), what))
    });
    open.collect()
}

/// Orders that came back in another size than ordered, and than was agreed since.
pub(super) fn came_back_other(job: &Job) -> impl Iterator<Item = &Order> {
    job.orders.values().filter(|order| {
        let (Some(ordered), Some(came)) = (order.out.finished, order.returned_size()) else { return false };
        let agreed = |key| job.agreed.get(key).is_some_and(|agreed| agreed.finished == Some(came));
        ordered != came && (order.surfaces.is_empty() || !order.surfaces.iter().all(agreed))
    })
}
