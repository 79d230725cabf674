//! Dates that have passed: outside work that is not back, an approval that no longer holds.
//!
//! A day ends at midnight where the paper was written that names it. This is the one kind of news that comes without
//! a drop, so it also says when it will come.

use crate::facts::{Day, Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::{EstimateNow, Order, Said};
use crate::stages::Stage;
use jiff::Timestamp;

pub(super) fn items(view: &JobView, now: Timestamp) -> Vec<AlertItem> {
    let is_over = |said: &Said, day: Day| said.end_of(day).is_some_and(|end| end <= now);
    let out = view.job.orders.values().filter(|order| waits(order) && is_over(&order.said, order.out.due));
    let mut items: Vec<AlertItem> = out.map(overdue).collect();
    let approved = approved(view).filter(|estimate| is_over(&estimate.said, estimate.estimate.expires));
    items.extend(approved.map(expired));
    items
}

/// The next moment at which a date passes, Unix milliseconds.
pub(super) fn next(view: &JobView, now: Timestamp) -> Option<i64> {
    let orders = view.job.orders.values().filter(|order| waits(order));
    let due = orders.filter_map(|order| order.said.end_of(order.out.due));
    let expires = approved(view).and_then(|estimate| estimate.said.end_of(estimate.estimate.expires));
    due.chain(expires).filter(|end| now < *end).min().map(Timestamp::as_millisecond)
}

/// All of it is out, or some.
fn waits(order: &Order) -> bool {
    order.is_out() || !order.rest_out().is_empty()
}

/// The estimate that is approved, while work that rests on it is still to be done.
fn approved(view: &JobView) -> Option<&EstimateNow> {
    if view.standing.stage > Stage::Machining {
        return None;
    }
    let books = &view.job.books;
    let id = books.approvals.last().filter(|approval| approval.approval.granted)?.estimate?;
    books.estimates.iter().find(|estimate| estimate.said.fact == id)
}

fn overdue(order: &Order) -> AlertItem {
    let (out, number) = (&order.out, &order.number);
    let rest = order.rest_out();
    let word = match (rest.is_empty(), order.backs.is_empty()) {
        (false, _) => format!("{rest} still out"),
        (true, false) => "refused, and not back again".to_owned(),
        (true, true) => "not back".to_owned(),
    };
    AlertItem {
        key: format!("overdue/{number}"),
        evidence: Digest::of(
            format!("{}|{}|{}", order.said.fact.hex(), out.due, order.backs.len()).as_bytes(),
        ),
        role: Role::Owner,
        heading: "Outside work overdue",
        headline: format!("work order {number} overdue"),
        first: format!(
            "work order {number}: {} at {}, due {}, {word}",
            out.operation,
            out.to,
            order.due_words()
        ),
        lines: vec![
            format!("sent by {}", order.said.words()),
            "for the plan: what is promised to the customer moves with it".to_owned(),
            format!("next: ask {} for a new date, and record it or what came back", out.to),
        ],
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    }
}

fn expired(estimate: &EstimateNow) -> AlertItem {
    let expires = estimate.estimate.expires;
    AlertItem {
        key: format!("expired/{}", estimate.said.fact.short()),
        evidence: Digest::of(format!("{}|{expires}", estimate.said.fact.hex()).as_bytes()),
        role: Role::Owner,
        heading: "Approval expired",
        headline: "the customer's approval has expired".to_owned(),
        first: format!("the approved estimate of {} was good until {expires}", estimate.said.words()),
        lines: vec![
            "for the plan: nothing more is cut and nothing that cannot go back is ordered on it".to_owned(),
            "next: check its prices, and have the customer approve a new estimate".to_owned(),
        ],
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    }
}
