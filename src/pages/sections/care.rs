//! What can hurt in the steps at hand, with the reminder that stands with it.

use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::planning::PlanLine;
use crate::shop::{Job, Order};
use crate::stages::cautions::{
    Caution, Doing, REMINDER, Step, asked_next, at_hand, cautions, of_deed, of_order,
};
use maud::{Markup, html};
use serde_json::{Value, json};

/// What can hurt in what its gate waits for; of the next gate folded away.
pub(in crate::pages) fn care(view: &JobView) -> Section {
    let mut section = section(&now(view));
    let mut next = Table::of("At the next gate", &["", ""]);
    next.rows = rows(&then(view));
    section.more_table(next);
    if section.blocks.is_empty() && !section.more.is_empty() {
        section.blocks.push(Block::Quiet(REMINDER.to_owned()));
    }
    section
}

/// The same for programs.
pub(in crate::pages) fn care_json(view: &JobView) -> Value {
    json!({ "reminder": REMINDER, "now": list(&now(view)), "next": list(&then(view)) })
}

/// Of the work in lines of plans, for programs.
pub(in crate::pages) fn care_of_plans_json<'l>(
    job: &Job,
    lines: impl Iterator<Item = &'l PlanLine>,
) -> Value {
    json!({ "reminder": REMINDER, "work": list(&in_plans(job, lines)) })
}

fn list(cautions: &[Caution]) -> Value {
    cautions
        .iter()
        .map(|caution| json!({ "title": caution.hazard.title(), "words": caution.words }))
        .collect()
}

/// Of the gate in hand.
fn now(view: &JobView) -> Vec<Caution> {
    said(&view.job, at_hand(&view.job, &view.standing))
}

/// Of the next gate, where they are not said already.
fn then(view: &JobView) -> Vec<Caution> {
    let now = now(view);
    let mut next = said(&view.job, asked_next(&view.job, &view.standing));
    next.retain(|caution| !now.contains(caution));
    next
}

/// Of the work of an order.
pub(in crate::pages) fn care_of_order(job: &Job, order: &Order) -> Section {
    section(&cautions(job.sheet.as_deref(), &of_order(job, order)))
}

/// Of the work in lines of plans.
pub(in crate::pages) fn care_of_plans<'l>(job: &Job, lines: impl Iterator<Item = &'l PlanLine>) -> Section {
    section(&in_plans(job, lines))
}

fn in_plans<'l>(job: &Job, lines: impl Iterator<Item = &'l PlanLine>) -> Vec<Caution> {
    let done: Vec<_> = lines.flat_map(|line| of_deed(job, &line.deed)).collect();
    cautions(job.sheet.as_deref(), &done)
}

/// What is done at this gate and the next.
pub(in crate::pages) fn steps_at_hand(view: &JobView) -> Vec<Step> {
    let mut steps = at_hand(&view.job, &view.standing);
    steps.extend(asked_next(&view.job, &view.standing));
    steps
}

/// Beside what is typed of a kind of drop: of these steps.
pub(in crate::pages) fn care_beside(view: &JobView, kind: &str, steps: &[Step]) -> Markup {
    let said = said(&view.job, steps.iter().filter(|step| step.kind == kind).cloned().collect());
    html! { @if !said.is_empty() {
        div.care {
            ul { @for caution in &said { li { strong { (caution.hazard.title()) } ": " (caution.words) } } }
            p.quiet { (REMINDER) }
        }
    } }
}

fn said(job: &Job, steps: Vec<Step>) -> Vec<Caution> {
    let done: Vec<(Doing, Vec<usize>)> = steps.into_iter().map(|step| (step.doing, step.parts)).collect();
    cautions(job.sheet.as_deref(), &done)
}

fn section(cautions: &[Caution]) -> Section {
    let mut section = Section::new("care", "Take care");
    let mut table = Table::of("", &["", ""]);
    table.rows = rows(cautions);
    if !table.rows.is_empty() {
        section.table(table);
        section.blocks.push(Block::Quiet(REMINDER.to_owned()));
    }
    section
}

fn rows(cautions: &[Caution]) -> Vec<Vec<Cell>> {
    cautions
        .iter()
        .map(|caution| vec![Cell::strong(caution.hazard.title()), caution.words.as_str().into()])
        .collect()
}
