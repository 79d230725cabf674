//! Proposals, agreed work and what was done.

use crate::facts::{SizeWord, show_step};
use crate::metrology::{Exact, Unit};
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{joined, size_words, unit_of};
use crate::planning::{GroupPlan, Need};
use crate::shop::{Agreed, Done, Surface, SurfaceKey};
use crate::stages::Act;
use std::collections::BTreeSet;

/// Sizes that clean up whole groups; a person decides.
pub(in crate::pages) fn proposals(view: &JobView) -> Section {
    let mut section = Section::new("proposals", "Proposals");
    let unit = unit_of(&view.job);
    for plan in &view.plans {
        let size = plan.step.map_or_else(
            || "no size of the sheet cleans up all of them: sleeve, weld or replace".to_owned(),
            |size| format!("all to {}", size.show(unit)),
        );
        section.blocks.push(Block::Strong(format!("{}: {size}", plan.group)));
        section.line(because(plan, unit));
        let mut table = Table::of(
            plan.group.as_str(),
            &["Position", "Unworn size", "Safe finish", "Size", "Optimistic finish", "Its size"],
        );
        plan.needs.iter().for_each(|need| table.row(need_row(need, unit)));
        section.more_table(table);
    }
    if !section.is_empty() {
        let limits =
            "By size alone. The plan weighs what can be had, walls, sleeves, other parts, wishes and money.";
        section.blocks.push(Block::Quiet(limits.to_owned()));
    }
    section
}

fn because(plan: &GroupPlan, unit: Unit) -> String {
    let mut text = format!("Because of {}.", plan.because.join(", "));
    if let Some(size) = plan.optimistic.filter(|_| plan.optimistic != plan.step) {
        text.push_str(&format!(" On the worn axis {} may do: ask the machinist.", size.show(unit)));
    }
    if !plan.unmeasured.is_empty() {
        text.push_str(&format!(" Not measured yet: {}.", plan.unmeasured.join(", ")));
    }
    text
}

fn need_row(need: &Need, unit: Unit) -> Vec<Cell> {
    let step = |step: Option<Exact>| step.map_or_else(|| "none".to_owned(), |s| show_step(s, unit));
    let new_limit = if need.original_read { "" } else { " (new limit)" };
    vec![
        need.name.as_str().into(),
        format!("{}{new_limit}", need.original.show(unit)).into(),
        need.clean_up.safe.show(unit).into(),
        step(need.safe_step).into(),
        need.clean_up.optimistic.show(unit).into(),
        step(need.optimistic_step).into(),
    ]
}

/// One row for what is the same on several surfaces: nobody reads twenty lines that differ in a number.
pub(in crate::pages) fn work(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("work", "Agreed and done");
    let mut rows: Vec<([String; 4], Vec<String>)> = Vec::new();
    let mut add = |cells: [String; 4], name: String| match rows.iter_mut().find(|(known, _)| *known == cells)
    {
        Some((_, names)) => names.push(name),
        None => rows.push((cells, vec![name])),
    };
    let to = |size: Option<SizeWord>| size_words(job, size);
    for (key, surface) in &job.surfaces {
        let name = job.surface_name(*key);
        if let Some(agreed) = job.agreed.get(key) {
            let (by, remark) = agreed_words(view, agreed);
            add([agreed.operation.clone(), to(agreed.finished), by, remark], name.clone());
        }
        for done in &surface.done {
            add(
                [done.operation.clone(), to(done.finished), when(done), said(done, surface, unit_of(job))],
                name.clone(),
            );
        }
    }
    let mut table = Table::of("", &["Work", "To size", "State", "Remark", "On"]);
    for ([operation, size, by, remark], names) in rows {
        table.row(vec![operation.into(), size.into(), by.into(), remark.into(), names.join(", ").into()]);
    }
    if table.rows.is_empty() {
        section.line("No work is agreed or done.");
    }
    section.table(table);
    section
}

/// By whom, or that it is open again and why.
fn agreed_words(view: &JobView, agreed: &Agreed) -> (String, String) {
    let statement = view.standing.statements.iter().find(|now| now.fact == agreed.fact && !now.stands());
    let Some(gone) = statement else { return (format!("agreed by {}", agreed.by), String::new()) };
    let state = format!("open again: was agreed by {}, {}", agreed.by, agreed.written);
    let Act::Agreed { surfaces } = &gone.act else { return (state, gone.words()) };
    let new = surfaces.iter().flat_map(|key| read_since(view, *key, agreed));
    let mut new: Vec<String> = new.collect();
    new.dedup();
    let why = match new.as_slice() {
        [] => gone.words(),
        _ => format!("what it rests on has changed since, and asks for other work: {}", new.join("; ")),
    };
    (state, format!("{why}. Agree anew"))
}

/// Readings of a surface as it was when the work was agreed, that came later or were corrected since.
fn read_since(view: &JobView, key: SurfaceKey, agreed: &Agreed) -> Vec<String> {
    let Some(surface) = view.job.surfaces.get(&key) else { return Vec::new() };
    let before_work = surface.sets.iter().filter(|(set, _)| set.condition.operations() == 0);
    let readings = before_work.flat_map(|(_, set)| set.readings.values().flatten());
    let late = readings.filter(|reading| reading.recorded > agreed.order.0);
    let by: BTreeSet<(&str, String)> = late.map(|reading| (&*reading.who, reading.fact.short())).collect();
    let name = view.job.surface_name(key);
    by.into_iter().map(|(who, drop)| format!("{name} read by {who} (drop {drop})")).collect()
}

fn when(done: &Done) -> String {
    format!("done {} by {}", done.recorded, done.who)
}

fn said(done: &Done, surface: &Surface, unit: Unit) -> String {
    let removed = done
        .removed
        .map_or_else(String::new, |removed| format!("{} {} taken off", removed.show(unit), unit.symbol()));
    let replaced = if done.instance == surface.instance { "" } else { "on the part that was replaced" };
    joined(&[&removed, replaced], ", ")
}
