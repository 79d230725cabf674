//! Who signed, decided and set aside what and how it stands; the codes to quote by who signs next; what waits for
//! history.

use crate::facts::Checked;
use crate::pages::JobView;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{headed, joined, size_words};
use crate::pages::signing::to_sign;
use crate::shop::Books;
use crate::stages::{Act, StatementNow};

/// Signatures, approvals, accepted values and confirmed readings, all for ever.
pub(in crate::pages) fn signatures(view: &JobView) -> Section {
    let mut section = Section::new("signed", "Signed");
    let mut table = Table::of("", &["What", "By", "When", "How it stands"]);
    for now in &view.standing.statements {
        table.row(vec![
            joined(&[&now.what, &remark(view, now)], "\n").into(),
            now.by.as_str().into(),
            now.written.as_str().into(),
            now.checked.as_ref().map_or_else(Cell::default, annotation),
        ]);
    }
    for confirmed in &view.judgement.confirmations {
        table.row(vec![
            format!("{} {} confirmed: {}", confirmed.name, confirmed.digits, confirmed.why).into(),
            confirmed.said.who.as_str().into(),
            confirmed.said.written.as_str().into(),
            annotation(&confirmed.checked),
        ]);
    }
    section.table(table);
    section
}

fn annotation(checked: &Checked) -> Cell {
    let quoted = headed("code ", checked.quoted.as_deref().unwrap_or_default());
    let words = joined(&[&quoted, &checked.words()], "\n");
    if checked.stands() { words.into() } else { Cell::strong(words) }
}

/// What was said beside a signature or an accepted value.
fn remark(view: &JobView, now: &StatementNow) -> String {
    let job = &view.job;
    match &now.act {
        Act::Signed(step) => job.signed.get(step).map_or_else(String::new, |signed| {
            let old = signed.old_parts.map_or_else(String::new, |old| format!("old parts {}", old.word()));
            let again = signed.due_again.map_or_else(String::new, |day| format!("due again {day}"));
            joined(&[&signed.note, &old, &headed("preserved: ", &signed.preserved), &again], "; ")
        }),
        Act::Accepted { .. } => {
            let said = job.accepted.iter().find(|accepted| accepted.fact == now.fact);
            said.map_or_else(String::new, |accepted| accepted.why.clone())
        }
        Act::Agreed { .. } => {
            let mut ways: Vec<String> = job
                .agreed
                .values()
                .filter(|agreed| agreed.fact == now.fact)
                .map(|agreed| {
                    joined(&[&agreed.operation, &headed("to ", &size_words(job, agreed.finished))], " ")
                })
                .collect();
            ways.dedup();
            ways.join(", ")
        }
        Act::Approved { .. } => {
            let said = job.books.approvals.iter().find(|said| said.said.fact == now.fact);
            said.map_or_else(String::new, |said| {
                let show = |amount| view.money(amount);
                let (up_to, answered) = (Books::up_to(said, show), job.books.answered_words(said, show));
                joined(&[&up_to, &answered, &said.approval.why], "\n")
            })
        }
    }
}

/// Everything that can be signed now, with the code to quote.
pub(in crate::pages) fn codes(view: &JobView) -> Section {
    let mut section = Section::new("codes", "To sign");
    let mut table = Table::of("", &["What", "Code"]);
    for signable in to_sign(view) {
        table.row(vec![signable.what.as_str().into(), signable.code.to_string().into()]);
    }
    if !table.rows.is_empty() {
        let why = "Quote the code as evidence: it says what you saw. What is signed without one covers what was \
                   recorded up to its time; files that come late could not be noticed.";
        section.more.push(Block::Quiet(why.to_owned()));
    }
    section.more_table(table);
    section
}

/// Leave to take it apart, and blockers that were set aside.
pub(in crate::pages) fn decided(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("decided", "Leave and what was set aside");
    if let Some((said, authority)) = &job.authority {
        let granted = if authority.granted { "given" } else { "refused" };
        let price = authority.price.map_or_else(String::new, |price| format!("for {price}"));
        let words = joined(
            &[
                &joined(&["Leave to take it apart", granted, "by", &authority.by, &price], " "),
                authority.how.word(),
                &headed("if the work is declined: ", &authority.if_declined),
                &said.words(),
            ],
            "; ",
        );
        section.line(words);
    }
    let mut waived = Table::of("Set aside", &["What", "Why", "By", "How it stands"]);
    for now in &view.standing.waived {
        let waiver = &now.waiver;
        let blockers: Vec<String> =
            now.blockers.iter().map(|blocker| joined(&[&blocker.about, &blocker.what], " ")).collect();
        let named = format!("{} at {}{}", waiver.rule, waiver.gate, headed(", ", &waiver.about));
        let quoted = headed("code ", now.checked.quoted.as_deref().unwrap_or_default());
        waived.row(vec![
            joined(&[&named, &blockers.join("\n")], "\n").into(),
            waiver.why.as_str().into(),
            format!("waived by {}, {}", waiver.by, now.said.written).into(),
            joined(&[&now.words(), &quoted], "\n").into(),
        ]);
    }
    section.table(waived);
    section
}

/// What was accepted and does nothing yet, and what was withdrawn.
pub(in crate::pages) fn held(view: &JobView) -> Section {
    let job = &view.job;
    let mut section = Section::new("held", "Held until history answers");
    let mut table = Table::of("", &["Drop", "What", "Why it waits"]);
    for held in &job.held {
        table.row(vec![
            held.fact.short().into(),
            format!("{}{}", held.kind, headed(", ", &held.part)).into(),
            held.why.to_string().into(),
        ]);
    }
    section.table(table);
    if !job.withdrawn.is_empty() {
        let ids: Vec<String> = job.withdrawn.iter().map(|id| id.short()).collect();
        section.line(format!("Withdrawn: {}.", ids.join(", ")));
    }
    section
}
