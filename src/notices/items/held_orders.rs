//! A work order that must not be cut yet.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::Order;
use std::collections::BTreeSet;

/// Heads the key of such an item.
pub(super) const KEY: &str = "held order/";

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    view.job.orders.values().filter_map(|order| item(view, order)).collect()
}

fn item(view: &JobView, order: &Order) -> Option<AlertItem> {
    let reasons = view.standing.holds(order);
    if reasons.is_empty() {
        return None;
    }
    // A reason in other words is no news; one more or one less is.
    let own = view.standing.in_the_way(order).iter();
    let rules: BTreeSet<(&str, &str)> = own.map(|b| (b.rule.word(), b.about.as_str())).collect();
    let evidence = format!("{}|{rules:?}", order.said.fact.hex());
    let (number, out) = (&order.number, &order.out);
    let mut lines: Vec<String> = reasons.iter().map(|reason| format!("because {reason}")).collect();
    lines.push(format!("sent by {}, wanted by {}", order.said.words(), out.due));
    lines.push(format!(
        "next: see to each of these, or set it aside by name where that is allowed; the order's letter to {} then goes by \
         itself. If they have the parts or the letter already, call and stop them",
        out.to
    ));
    Some(AlertItem {
        key: format!("{KEY}{number}"),
        evidence: Digest::of(evidence.as_bytes()),
        role: Role::Owner,
        heading: "Work order held",
        headline: format!("work order {number} held"),
        first: format!("work order {number}, {} at {}: nothing of it may be cut yet", out.operation, out.to),
        lines,
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    })
}
