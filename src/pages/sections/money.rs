//! Money: what was estimated, approved, spent, asked and paid.

use crate::facts::Money;
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{headed, joined};
use crate::planning::spent;
use crate::shop::{ApprovalNow, EstimateNow};

/// Option, whether it adds to another, remark, and the drop it is named by.
fn name(now: &EstimateNow) -> String {
    let option = if now.estimate.option.is_empty() { "estimate" } else { &now.estimate.option };
    let addition = if now.estimate.addition { "an addition" } else { "" };
    joined(&[option, addition, &now.estimate.note, &format!("drop {}", now.said.fact.short())], "\n")
}

/// Estimates with their answers, hours against them, price and payments.
pub(in crate::pages) fn money(view: &JobView) -> Section {
    let books = &view.job.books;
    let mut section = Section::new("money", "Money");
    let show = |amount: Money| view.money(amount);
    let mut estimates =
        Table::of("", &["Estimate", "Comes to", "At most", "Holds until", "Made by", "Answer"]);
    for now in &books.estimates {
        estimates.row(vec![
            name(now).into(),
            show(now.estimate.sum()).into(),
            show(now.estimate.not_to_exceed).into(),
            now.estimate.expires.to_string().into(),
            now.said.words().into(),
            answer(&books.approvals, now, &show),
        ]);
    }
    section.table(estimates);
    for now in books.approvals.iter().filter(|now| now.estimate.is_none()) {
        section.line(approval(now, &show));
    }
    let spent = spent(&view.job, view.prices.as_deref());
    if let Some(line) = spent.words(show) {
        section.blocks.push(if spent.is_over() { Block::Strong(line) } else { Block::Line(line) });
    }
    if let Some((said, price)) = &books.price {
        let left = price.amount.less(books.received());
        let paid = if left.is_zero() { "paid".to_owned() } else { format!("{} still to pay", show(left)) };
        section.line(format!("Final price {}, {paid} ({})", show(price.amount), said.words()));
    }
    let mut more = Table::of("Lines and payments", &["What", "Amount", "By"]);
    for now in &books.estimates {
        for line in &now.estimate.lines {
            let of = headed(", ", &now.estimate.option);
            more.row(vec![
                format!("{}{of}", line.what).into(),
                show(line.amount).into(),
                now.said.words().into(),
            ]);
        }
    }
    for (said, hundredths, what) in &books.hours {
        let hours = format!("{}.{:02} hours", hundredths / 100, hundredths % 100);
        more.row(vec![what.as_str().into(), hours.into(), said.words().into()]);
    }
    for (word, list) in [("deposit", &books.deposits), ("paid", &books.paid)] {
        for (said, amount) in list {
            let what = joined(&[word, &amount.how, &amount.note], ", ");
            more.row(vec![what.into(), show(amount.amount).into(), said.words().into()]);
        }
    }
    section.more_table(more);
    section
}

fn answer(approvals: &[ApprovalNow], estimate: &EstimateNow, show: &dyn Fn(Money) -> String) -> Cell {
    let about = approvals.iter().filter(|now| now.estimate == Some(estimate.said.fact));
    let words: Vec<String> = about.map(|now| approval(now, show)).collect();
    if words.is_empty() { Cell::strong("no answer yet") } else { words.join("\n").into() }
}

fn approval(now: &ApprovalNow, show: &dyn Fn(Money) -> String) -> String {
    let what = if now.approval.granted { "approved" } else { "declined" };
    let amount = now.amount.map_or_else(String::new, |amount| format!("up to {}", show(amount)));
    let amount = if now.approval.granted { amount } else { String::new() };
    let by = format!("by {}, {}", now.approval.by, now.approval.how.word());
    joined(&[&joined(&[what, &amount, &by], " "), &now.approval.why, &now.said.words()], "; ")
}
