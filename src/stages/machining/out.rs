//! Machining: what is out comes back, and what was refused goes back.

use crate::judgement::Judgement;
use crate::shop::{Job, Order};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Machining, BlockerRule::Out);
    let open = job.orders.values().filter(|order| order.is_out()).map(|order| {
        let late = late(job, order);
        let refused = order.backs.last().map_or_else(String::new, |back| {
            let why = if back.back.note.is_empty() { String::new() } else { format!(": {}", back.back.note) };
            format!("; refused on {}{why}", back.said.written)
        });
        let what = format!(
            "{} with {} since {}, due {}{late}{refused}",
            order.out.operation, order.out.to, order.said.written, order.out.due
        );
        line.one(Actor::Machinist, format!("work order {}", order.number), what)
    });
    open.collect()
}

/// No clock enters here: late is what was due before the day of the last statement.
pub(super) fn late(job: &Job, order: &Order) -> &'static str {
    let is_late = job.last_recorded.is_some_and(|last| order.said.is_past(order.out.due, last));
    if is_late { ", overdue" } else { "" }
}
