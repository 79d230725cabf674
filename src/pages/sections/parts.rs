//! Where each part lies, which way round it goes, and what was fitted.

use crate::facts::PartState;
use crate::pages::JobView;
use crate::pages::section::{Cell, Section, Table};
use crate::pages::sections::{headed, joined, size_words, unit_of};
use crate::shop::{Job, PartLife, PartPlace};

/// Every part of which something is known. What is the same on several positions is one row.
pub(in crate::pages) fn parts(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("parts", "Where the parts are");
    let known: Vec<(&PartPlace, &PartLife)> = job.parts.iter().filter(|(_, life)| life.is_known()).collect();
    let away: Vec<PartPlace> =
        known.iter().filter(|(_, life)| life.in_bath.is_some()).map(|(place, _)| **place).collect();
    if !known.is_empty() {
        let came = job.parts.keys().filter(|(kind, _)| {
            job.sheet
                .as_ref()
                .and_then(|sheet| sheet.parts.get(*kind))
                .is_none_or(|part| job.concerns(&part.scopes))
        });
        let asked = came.clone().filter(|place| job.parts.get(place).is_some_and(PartLife::is_known)).count();
        section.line(format!("Something is recorded of {asked} of the {} parts that came.", came.count()));
    }
    for place in away {
        if let Some(life) = job.parts.get(&place) {
            section.line(format!("{} {}.", job.parts_name(&[place]), life.where_words()));
        }
    }
    let mut table = Table::of("", &["Part", "Where", "Way round and marks", "Size", "What happened"]);
    for (places, cells) in alike(known.into_iter().map(|(place, life)| (*place, cells(job, life)))) {
        let mut row: Vec<Cell> = vec![job.parts_name(&places).into()];
        row.extend(cells.into_iter().map(Cell::from));
        table.row(row);
    }
    section.more_table(table);
    section
}

/// What was fitted, as a table of its own.
pub(in crate::pages) fn fitted(job: &Job) -> Table {
    let mut table = Table::of("Fitted", &["Part", "New or used", "Size", "Stamped", "Way round", "By"]);
    let cells = job.parts.iter().filter_map(|(place, life)| {
        let fitted = life.fitted.as_ref()?;
        let size = fitted.size.map_or_else(String::new, |size| size.show(unit_of(job)));
        let round = if fitted.way_round.is_empty() { &life.way_round } else { &fitted.way_round };
        let stamped = joined(&[&stamps(job, life), &life.marks], ", ");
        Some((
            *place,
            vec![state(fitted.state).to_owned(), size, stamped, round.clone(), fitted.said.words()],
        ))
    });
    for (places, cells) in alike(cells) {
        let mut row: Vec<Cell> = vec![job.parts_name(&places).into()];
        row.extend(cells.into_iter().map(Cell::from));
        table.row(row);
    }
    table
}

const fn state(state: Option<PartState>) -> &'static str {
    match state {
        Some(PartState::New) => "new",
        Some(PartState::Used) => "used",
        None => "",
    }
}

/// Positions of one part of which the same is said.
fn alike(rows: impl Iterator<Item = (PartPlace, Vec<String>)>) -> Vec<(Vec<PartPlace>, Vec<String>)> {
    let mut all: Vec<(Vec<PartPlace>, Vec<String>)> = Vec::new();
    for (place, cells) in rows {
        let kind = |places: &[PartPlace]| places.first().is_some_and(|first| first.0 == place.0);
        match all.iter_mut().find(|(places, known)| kind(places) && *known == cells) {
            Some((places, _)) => places.push(place),
            None => all.push((vec![place], cells)),
        }
    }
    all
}

fn cells(job: &Job, life: &PartLife) -> Vec<String> {
    let round = joined(&[&life.way_round, &headed("marks ", &life.marks)], ", ");
    vec![life.where_words(), round, stamps(job, life), happened(job, life)]
}

fn stamps(job: &Job, life: &PartLife) -> String {
    let stamps = life.stamps.iter().map(|(group, size)| format!("{group} {}", size_words(job, Some(*size))));
    stamps.collect::<Vec<_>>().join(", ")
}

fn happened(job: &Job, life: &PartLife) -> String {
    let mut lines = Vec::new();
    let mut add = |what: String, said: &crate::shop::Said| lines.push(format!("{what} ({})", said.words()));
    if life.instance > 1 {
        let state = headed(", ", state(life.state));
        lines_replaced(life, &state).into_iter().for_each(|(what, said)| add(what, said));
    } else if let Some(said) = &life.off {
        add("came off".to_owned(), said);
    }
    if let Some(said) = &life.missing {
        add("missing".to_owned(), said);
    }
    if let Some((said, how)) = &life.cleaned {
        add(format!("cleaned{}", headed(", ", how)), said);
    }
    if let Some(said) = &life.looked {
        add("looked at".to_owned(), said);
    }
    for worked in &life.worked {
        add(worked.operation.clone(), &worked.said);
    }
    if let Some(said) = &life.scrapped {
        add("scrapped".to_owned(), said);
    }
    if let Some(fitted) = &life.fitted {
        let size = size_words(job, fitted.size);
        add(joined(&["fitted", state(fitted.state), &size, &fitted.way_round], ", "), &fitted.said);
    }
    lines.join("\n")
}

fn lines_replaced<'a>(life: &'a PartLife, state: &str) -> Option<(String, &'a crate::shop::Said)> {
    life.off.as_ref().map(|said| (format!("replaced{state}; piece {} here", life.instance), said))
}
