//! The build record: what was measured, fitted and tightened, with what, by whom. Made to be printed and handed over,
//! and to answer a claim two years later.

use crate::facts::{Digest, PartState};
use crate::judgement::Verdict;
use crate::pages::JobView;
use crate::pages::frame::page;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{self, joined, unit_of};
use crate::shop::{Job, PartPlace, RULE_SET};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Something was signed, fitted or tightened, so there is a record to write.
#[must_use]
pub fn has_record(job: &Job) -> bool {
    !job.signed.is_empty() || !job.joints.is_empty() || job.parts.values().any(|life| life.fitted.is_some())
}

/// The build record of one job, as it is now.
#[must_use]
pub fn build_record(view: &JobView) -> String {
    let content = html! {
        (sections::issued(view).html(false))
        (record_content(view))
    };
    page(&format!("Build record of job {}", view.job.written), "../", &content)
}

/// What the record says, for the page on the board and for the paper that is issued.
pub(super) fn record_content(view: &JobView) -> Markup {
    let job = &view.job;
    let parts = [
        sizes(job),
        measured(view),
        sections::beyond(view),
        sections::doubts(view),
        replaced(job),
        together(view),
        sections::first_start(job),
        sections::checks(view),
        counted(job),
        sections::findings(view),
        sections::work(view),
        sections::orders(view),
        sections::problems(view),
        sections::decided(view),
        sections::money(view),
        data(job),
        sections::signatures(view),
    ];
    html! {
        @if !view.standing.blockers.is_empty() {
            p { strong.out { "Not released: " (view.standing.words()) ". This is the record so far." } }
        }
        @for block in sections::about(view) { (block.html()) }
        p { (rules(job)) }
        @for part in parts { (part.without_links().html(false)) }
    }
}

/// What judged it.
fn rules(job: &Job) -> String {
    let house = job.rules.as_ref().map_or_else(
        || "without house rules".to_owned(),
        |rules| format!("house rules revision {}", rules.revision),
    );
    let sheet = job.sheet.as_ref().map_or_else(String::new, |sheet| {
        // Where there is a sheet, it is the first of what the job rests on.
        let stands = job.grounds.first().map_or_else(String::new, |id| format!(" (statement {})", id.hex()));
        format!(", sheet {} revision {}{stands}", sheet.key, sheet.revision)
    });
    format!("Judged by rule set {RULE_SET}{sheet}, {house}, on {} statements.", job.facts)
}

/// Pieces that took the place of those that came in: what was cast or stamped on the old ones says nothing of them.
fn replaced(job: &Job) -> Section {
    let mut section = Section::new("replaced", "Others than came in");
    let mut table = Table::of("", &["What", "State", "Marks and stamps", "By"]);
    let mut groups: BTreeMap<(usize, String, String, String), Vec<PartPlace>> = BTreeMap::new();
    for (place, life) in &job.parts {
        let Some(said) = &life.renewed else { continue };
        let state = match life.state {
            Some(PartState::New) => "new",
            Some(PartState::Used) => "used",
            None => "not said",
        };
        let sizes: Vec<String> = life.stamps.iter().map(|(_, size)| size.show(unit_of(job))).collect();
        let marks = joined(&[&life.marks, &sizes.join(", ")], "; ");
        groups.entry((place.0, state.to_owned(), marks, said.words())).or_default().push(*place);
    }
    for ((_, state, marks, by), places) in groups {
        table.row(vec![job.parts_name(&places).into(), state.into(), marks.into(), by.into()]);
    }
    section.table(table);
    section
}

/// The size of a surface that was never changed.
pub(super) const STANDARD: &str = "standard";

/// The sizes the next rebuilder would have to guess.
fn sizes(job: &Job) -> Section {
    let mut section = Section::new("sizes", "Sizes now");
    let mut table = Table::of("", &["Feature", "Size", "Positions"]);
    for (name, size, positions) in sizes_now(job) {
        table.row(vec![name.into(), size.into(), positions.join(", ").into()]);
    }
    section.table(table);
    section
}

/// Feature, size and the positions that have it, of every surface of which something is known.
pub(super) fn sizes_now(job: &Job) -> Vec<(String, String, Vec<String>)> {
    let mut groups: Vec<(String, String, Vec<String>)> = Vec::new();
    for (key, surface) in &job.surfaces {
        let Some(feature) = job.feature(*key).filter(|feature| feature.sizes.is_some()) else { continue };
        if surface.sets.is_empty() && surface.done.is_empty() && surface.basis.is_none() {
            continue;
        }
        let size = surface.basis.map_or_else(|| STANDARD.to_owned(), |size| size.show(unit_of(job)));
        let position = feature.positions.get(key.position).cloned().unwrap_or_default();
        match groups.iter_mut().find(|(name, known, _)| *name == feature.name && *known == size) {
            Some((_, _, positions)) => positions.push(position),
            None => groups.push((feature.name.clone(), size, vec![position])),
        }
    }
    groups
}

/// Every verdict that stands, with gauge, person and day.
fn measured(view: &JobView) -> Section {
    let mut section = Section::new("measured", "Measured");
    let readers = readers(&view.job);
    let mut table = Table::of("", &["What", "Value", "Limit", "State", "Gauge", "How sure", "By"]);
    for verdict in view.judgement.standing() {
        if let Some(row) = measured_row(verdict, &readers) {
            table.row(row);
        }
    }
    section.table(table);
    section
}

fn measured_row(verdict: &Verdict, readers: &BTreeMap<Digest, String>) -> Option<Vec<Cell>> {
    let judged = verdict.judged.as_ref()?;
    let state = judged.state();
    let mut by: Vec<&str> =
        judged.readings.iter().filter_map(|r| readers.get(&r.fact)).map(String::as_str).collect();
    by.sort_unstable();
    by.dedup();
    Some(vec![
        format!("{}\n{}", verdict.title(), verdict.key.condition.word()).into(),
        judged.value_words(verdict.unit).into(),
        judged.limit_words(verdict.unit).into(),
        if verdict.is_beyond() { Cell::strong(state) } else { state.into() },
        sections::gauges_of(verdict).join("\n").into(),
        judged.uncertainty_words(verdict.unit).into(),
        by.join("\n").into(),
    ])
}

/// Who recorded each drop of readings, and on which day.
fn readers(job: &Job) -> BTreeMap<Digest, String> {
    let sets = job.surfaces.values().flat_map(|surface| surface.sets.values());
    sets.flat_map(|set| set.readings.values().flatten())
        .map(|reading| {
            let day = reading.recorded.strftime("%Y-%m-%d");
            (reading.fact, format!("{}, {day}", reading.who))
        })
        .collect()
}

fn together(view: &JobView) -> Section {
    let mut section = Section::new("together", "Fitted and tightened");
    section.table(sections::fitted(&view.job));
    section.table(sections::tightened(&view.job));
    section
}

fn counted(job: &Job) -> Section {
    let mut section = Section::new("counted", "Bolts, plugs and pins");
    section.blocks = sections::accounted(job);
    section
}

/// What the sheet says for people: firing order, oil, running in.
fn data(job: &Job) -> Section {
    let mut section = Section::new("data", "From the sheet");
    let mut table = Table::of("", &["What", "Value"]);
    for datum in job.sheet.iter().flat_map(|sheet| &sheet.data) {
        table.row(vec![datum.name.as_str().into(), datum.value.as_str().into()]);
    }
    section.table(table);
    if section.is_empty() {
        section.blocks.push(Block::Quiet("The sheet has no data beside its limits.".to_owned()));
    }
    section
}
