//! What the engine waits for, what was read and is doubted, and what is out of limits.

use crate::judgement::Note;
use crate::pages::JobView;
use crate::pages::bench_form::heading;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::stages::BlockerRule;

/// What keeps it from passing the gate it stands at, by who must act; later gates are folded away.
pub(in crate::pages) fn waits(view: &JobView) -> Section {
    let mut section = Section::new("waits", "What it waits for");
    if view.standing.blockers.is_empty() {
        section.line("Nothing: the engine is released.");
    }
    let mut here = Table::of("", &["Who", "What", "Bench form"]);
    let mut later = Table::of("Later", &["Who", "What", "Gate", "Bench form"]);
    let mut blockers: Vec<&crate::stages::Blocker> = view.standing.blockers.iter().collect();
    // What the owner must decide must not drown in what is to be measured.
    blockers.sort_by_key(|blocker| (!blocker.comes_first(), blocker.stage, blocker.actor));
    for blocker in blockers {
        let what = if blocker.about.is_empty() {
            blocker.what.clone()
        } else {
            format!("{}: {}", blocker.about, blocker.what)
        };
        if view.standing.is_waited_for(blocker) {
            here.row(vec![Cell::strong(blocker.actor.word()), what.into(), said_under(view, blocker.rule)]);
        } else {
            let (actor, gate) = (blocker.actor.word(), blocker.stage.word());
            later.row(vec![actor.into(), what.into(), gate.into(), said_under(view, blocker.rule)]);
        }
    }
    section.table(here);
    section.more_table(later);
    section
}

/// Where on the bench form the statement stands that lifts a blocker of this rule.
fn said_under(view: &JobView, rule: BlockerRule) -> Cell {
    let kinds = rule.lifted_by();
    let headings: Vec<&str> = kinds.iter().filter_map(|kind| heading(kind)).collect();
    match kinds.first() {
        Some(first) if !headings.is_empty() => {
            Cell::link(headings.join(", or "), format!("../forms/{}.html#{first}", view.job.key.slug()))
        }
        Some(_) | None => Cell::default(),
    }
}

/// Readings that look like slips.
pub(in crate::pages) fn questions(view: &JobView) -> Section {
    let mut section = Section::new("questioned", "Questioned readings");
    let mut table = Table::of("", &["Where", "Read", "Why it is doubted", "Name it by"]);
    for question in &view.judgement.questions {
        let history = if question.stands { "" } else { " (history)" };
        table.row(vec![
            Cell::strong(question.name.as_str()),
            format!("{} by {}{history}", question.digits, question.who).into(),
            was(&question.why.to_string(), &question.was).into(),
            format!("drop {}, reading {}", question.reading.fact.short(), question.reading.row + 1).into(),
        ]);
    }
    if !table.rows.is_empty() {
        let kept = "Kept out of every verdict until a named person confirms or replaces them; never altered.";
        section.blocks.push(Block::Quiet(kept.to_owned()));
    }
    section.table(table);
    section
}

/// Why it is doubted, and that it was confirmed before on other evidence.
fn was(why: &str, was: &str) -> String {
    if was.is_empty() { why.to_owned() } else { format!("{why}; {was}") }
}

/// Standing verdicts beyond the limit that decides.
pub(in crate::pages) fn beyond(view: &JobView) -> Section {
    let mut section = Section::new("limits", "Out of limits");
    let mut table = Table::of("", &["What", "Reading", "Limit", "That is", "How sure"]);
    for verdict in view.judgement.standing().filter(|verdict| verdict.is_beyond()) {
        let Some(judged) = &verdict.judged else { continue };
        let unit = verdict.unit;
        // Why it is not proven though it is improbable stands beside it.
        let unproven =
            judged.notes.iter().filter(|note| matches!(note, Note::NoiseShows(_) | Note::CannotJudge { .. }));
        let sure: Vec<String> = [judged.state().to_owned(), judged.probability_words()]
            .into_iter()
            .chain(unproven.map(|note| note.words(unit)))
            .collect();
        table.row(vec![
            Cell::strong(verdict.title()),
            judged.value_words(unit).into(),
            judged.limit_words(unit).into(),
            judged.margin_words(unit).into(),
            sure.iter().filter(|words| !words.is_empty()).cloned().collect::<Vec<_>>().join("; ").into(),
        ]);
    }
    if table.rows.is_empty() {
        section.line("Nothing that is measured is beyond the limit that decides.");
    }
    section.table(table);
    section
}
