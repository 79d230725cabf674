//! What is out with a machinist, and what is on order.

use crate::facts::SupplyState;
use crate::pages::JobView;
use crate::pages::section::{Cell, Section, Table};
use crate::pages::sections::{headed, joined, size_words};
use crate::pages::work_order::order_file;
use crate::planning::to_order;
use crate::shop::Order;

/// Work orders, those that are out first.
pub(in crate::pages) fn orders(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("orders", "Work orders");
    let mut table = Table::of("", &["Order", "With", "Work", "Sent", "Due", "State"]);
    let (out, back): (Vec<&Order>, Vec<&Order>) =
        job.orders.values().partition(|order| order.is_out() || !order.rest_out().is_empty());
    for order in out.into_iter().chain(back) {
        let size = size_words(job, order.out.finished);
        let state = state(view, order);
        table.row(vec![
            Cell::link(
                order.number.as_str(),
                format!("../orders/{}/{}.html", job.key.slug(), order_file(order)),
            ),
            order.out.to.as_str().into(),
            joined(&[&order.out.operation, &size, &headed("parts: ", &job.parts_name(&order.parts))], "\n")
                .into(),
            order.said.words().into(),
            order.due_words().into(),
            if order.is_out() || !order.rest_out().is_empty() { Cell::strong(state) } else { state.into() },
        ]);
    }
    section.table(table);
    section
}

fn state(view: &JobView, order: &Order) -> String {
    let job = &view.job;
    let holds = view.standing.holds(order);
    if !holds.is_empty() {
        return format!("held, nothing of it may be cut yet\nbecause {}", holds.join("\nbecause "));
    }
    let backs = order.backs.iter().map(|back| {
        let size = size_words(job, back.back.finished);
        let magnetism = match back.back.demagnetised {
            Some(true) => "demagnetised",
            Some(false) => "still magnetic",
            None => "",
        };
        joined(
            &[
                &format!("back: {}", back.back.result.word()),
                &size,
                magnetism,
                &back.back.note,
                &back.said.words(),
            ],
            ", ",
        )
    });
    let mut backs: Vec<String> = backs.collect();
    let rest = order.rest_out();
    if !rest.is_empty() {
        backs.insert(0, format!("{rest} still out"));
    }
    if order.backs.is_empty() { "out".to_owned() } else { backs.join("\n") }
}

/// What is to be ordered, what is on its way, what is here.
pub(in crate::pages) fn supplies(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("supplies", "Parts to order and on order");
    let mut needed = Table::of("To order", &["Item", "Size", "How many", "What is known"]);
    for need in to_order(job) {
        needed.row(vec![
            Cell::strong(need.item.as_str()),
            size_words(job, need.size).into(),
            need.count.to_string().into(),
            need.known().into(),
        ]);
    }
    section.table(needed);
    let mut table = Table::of("", &["Item", "Size", "How many", "State", "From", "Due", "Said by"]);
    for now in &job.books.supplies {
        let supply = &now.supply;
        let stamped = supply.stamped.filter(|stamped| Some(*stamped) != supply.size);
        let unread = if now.is_unread() { "stamp not read" } else { "" };
        let stamped = joined(&[&headed("stamped ", &size_words(job, stamped)), unread], ", ");
        let state = joined(&[supply.state.word(), &stamped, &supply.why], ", ");
        let bad = matches!(
            supply.state,
            SupplyState::NotAvailable | SupplyState::Late | SupplyState::Wrong | SupplyState::BackOrdered
        );
        table.row(vec![
            supply.item.as_str().into(),
            size_words(job, supply.size).into(),
            supply.count.to_string().into(),
            if bad || !stamped.is_empty() { Cell::strong(state) } else { state.into() },
            supply.supplier.as_str().into(),
            supply.due.map_or_else(String::new, |day| day.to_string()).into(),
            now.said.words().into(),
        ]);
    }
    section.table(table);
    section
}
