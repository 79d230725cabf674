//! The page for the customer: what was done, what was fitted in which size, the clearances as built, how to break it in,
//! what is guaranteed and where to ask, in plain words and on two sheets of paper at most.
//!
//! Everything on it stands in the build record too; nothing of the shop's own business (hours, suppliers, who looked at
//! what) is on it. Words for the customer come from the sheet and from the house rules.

use crate::facts::{OldParts, PartState, PieceState, SizeWord, Step};
use crate::judgement::{Proof, Verdict};
use crate::metrology::Exact;
use crate::pages::JobView;
use crate::pages::build_record::{STANDARD, sizes_now};
use crate::pages::frame::page;
use crate::pages::section::{Cell, Section, Table};
use crate::pages::sections::{first_start_checks, headed, joined, size_words};
use crate::sheets::{Characteristic, fold_name, same_name};
use crate::shop::Job;
use crate::stages::{Act, BlockerRule, WaiverState};
use maud::{Markup, html};

/// The page of one job, as it is now.
#[must_use]
pub fn customer_page(view: &JobView) -> String {
    page(&title(&view.job), "../", &customer_content(view))
}

/// Its title.
pub(super) fn title(job: &Job) -> String {
    let engine = job.sheet.as_ref().map_or("engine", |sheet| sheet.name.as_str());
    format!("Your {engine}, job {}", job.written)
}

/// What the page says, for the page on the board and for the paper that is issued.
pub(super) fn customer_content(view: &JobView) -> Markup {
    let job = &view.job;
    let parts = [
        done(job),
        fitted(job),
        clearances(view),
        sizes(job),
        first_start(job),
        to_use(job),
        break_in(job),
        left(view),
        warranty(job),
    ];
    html! {
        @if !view.standing.blockers.is_empty() {
            p { strong.out { "A draft: the engine is not released (" (view.standing.words()) ")." } }
        }
        @for line in head(job) { p { (line) } }
        @for part in parts { (part.without_links().html(false)) }
    }
}

/// Whose engine, which one, and what became of the old parts.
fn head(job: &Job) -> Vec<String> {
    let Some(check_in) = &job.check_in else { return Vec::new() };
    let delivered = job.signed.get(&Step::Delivered);
    let signed = |step: Step| job.signed.get(&step).and_then(|signed| signed.old_parts);
    let old = signed(Step::Delivered).or_else(|| signed(Step::Engine)).map_or("", |old| match old {
        OldParts::OfferedBack => "The old parts were offered back to you.",
        OldParts::Kept => "The old parts stay with the shop.",
        OldParts::Scrapped => "The old parts were thrown away with your leave.",
    });
    let notice = job.sheet.as_ref().map_or("", |sheet| sheet.notice.as_str());
    let engine = joined(
        &[
            &headed("For ", &check_in.customer.name),
            &headed("serial number ", &check_in.engine.serial),
            &headed("castings as it came in ", &check_in.engine.castings.join(", ")),
            &delivered.map_or_else(String::new, |signed| format!("delivered {}", signed.written)),
        ],
        "; ",
    );
    [engine, old.to_owned(), notice.to_owned()].into_iter().filter(|line| !line.is_empty()).collect()
}

/// Work that was agreed and done, by operation and size.
fn done(job: &Job) -> Section {
    let mut section = Section::new("done", "What was done");
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    for (key, surface) in &job.surfaces {
        let last = surface.done_now().last().filter(|_| job.agreed.contains_key(key));
        let (Some(done), Some(feature)) = (last, job.feature(*key)) else { continue };
        let to = headed(" to ", &size_words(job, done.finished));
        let what = format!("{}: {}{to}", feature.name, done.operation);
        let position = feature.positions.get(key.position).cloned().unwrap_or_default();
        match lines.iter_mut().find(|(known, _)| *known == what) {
            Some((_, positions)) => positions.push(position),
            None => lines.push((what, vec![position])),
        }
    }
    for (what, positions) in lines {
        let which = if positions.len() > 1 { format!(" ({})", positions.join(", ")) } else { String::new() };
        section.line(format!("{what}{which}."));
    }
    section
}

/// Kind of part, its size, and how many.
type Counted = (usize, Option<SizeWord>, usize);

/// New parts, those that come in sizes first, others that took the place of those that came, and new bolts, nuts and plugs.
fn fitted(job: &Job) -> Section {
    let mut section = Section::new("fitted", "What was fitted");
    let (mut parts, mut others): (Vec<Counted>, Vec<Counted>) = (Vec::new(), Vec::new());
    for ((kind, _), life) in &job.parts {
        let state = life.fitted.as_ref().and_then(|fitted| fitted.state).or(life.state);
        let size = life.fitted.as_ref().and_then(|fitted| fitted.size);
        let is_new = state == Some(PartState::New) && (life.fitted.is_some() || life.renewed.is_some());
        let list = match &life.renewed {
            _ if is_new => &mut parts,
            Some(_) => &mut others,
            None => continue,
        };
        match list.iter_mut().find(|(known, of, _)| known == kind && *of == size) {
            Some((_, _, count)) => *count += 1,
            None => list.push((*kind, size, 1)),
        }
    }
    let (sized, plain): (Vec<_>, Vec<_>) = parts.into_iter().partition(|(_, size, _)| size.is_some());
    let named = |(kind, size, count): Counted| {
        let part = job.sheet.as_ref().and_then(|sheet| sheet.parts.get(kind));
        let name = part.map_or("", |part| part.key.as_str());
        joined(&[name, &size_words(job, size), &format!("({count})")], " ")
    };
    for (before, list) in [
        ("In size: ", sized.into_iter().map(named).collect()),
        ("Also new: ", plain.into_iter().map(named).collect()),
        ("Others in the place of yours, not new: ", others.into_iter().map(named).collect()),
        ("New bolts, nuts and plugs of: ", new_fasteners(job)),
    ] {
        if !list.is_empty() {
            section.line(format!("{before}{}.", list.join(", ")));
        }
    }
    section
}

/// `cylinder head (10)`.
fn new_fasteners(job: &Job) -> Vec<String> {
    let groups = job.sheet.iter().flat_map(|sheet| {
        let plugs = sheet.plugs.iter().map(|plugs| (&plugs.group, &plugs.name));
        sheet.fasteners.iter().map(|group| (&group.group, &group.name)).chain(plugs)
    });
    let counted = groups.map(|(group, name)| {
        let bag = job.bags.values().find(|bag| same_name(&bag.group, group));
        let counts = bag.iter().flat_map(|bag| &bag.counts);
        let new = counts.filter(|((_, state), _)| *state == PieceState::Replaced);
        (name, new.map(|(_, counted)| counted.count).sum::<u32>())
    });
    counted.filter(|(_, n)| *n > 0).map(|(name, n)| format!("{} ({n})", name.to_lowercase())).collect()
}

/// Every surface that has another size than the one it was made with.
fn sizes(job: &Job) -> Section {
    let mut section = Section::new("sizes", "Sizes now");
    let groups = sizes_now(job).into_iter().filter(|(_, size, _)| size != STANDARD);
    let lines: Vec<String> = groups
        .map(|(name, size, positions)| {
            let which =
                if positions.len() > 1 { format!(" ({})", positions.join(", ")) } else { String::new() };
            format!("{name} {size}{which}")
        })
        .collect();
    if !lines.is_empty() {
        section.line(format!("{}. What else was measured is standard.", lines.join("; ")));
    }
    section
}

/// The numbers that were read.
fn first_start(job: &Job) -> Section {
    let mut section = Section::new("first-start", "First start");
    for check in first_start_checks(job) {
        let now = job.checks.get(&fold_name(&check.key)).and_then(|answers| answers.last());
        if let (Some(reads), Some(now)) = (&check.reads, now.filter(|now| !now.value.is_empty())) {
            let asked = if reads.has_limits() { format!(" ({})", reads.words()) } else { String::new() };
            section.line(format!("{}: {}{asked}.", check.words, reads.shown(&now.value)));
        }
    }
    section
}

/// What a reader of the page would ask about first: the room things have to move in.
const fn is_clearance(characteristic: Characteristic) -> bool {
    matches!(
        characteristic,
        Characteristic::Clearance
            | Characteristic::Interference
            | Characteristic::EndPlay
            | Characteristic::SideClearance
            | Characteristic::EndGap
            | Characteristic::Lash
    )
}

/// Tightest and loosest of each, over all positions, against the limits.
fn clearances(view: &JobView) -> Section {
    let mut section = Section::new("clearances", "Clearances as built");
    let mut groups: Vec<(String, Vec<&Verdict>)> = Vec::new();
    for verdict in view.judgement.standing().filter(|now| is_clearance(now.key.characteristic)) {
        if verdict.judged.as_ref().is_none_or(|judged| judged.deciding.is_none()) {
            continue;
        }
        let limit =
            verdict.judged.as_ref().map_or_else(String::new, |judged| judged.limit_words(verdict.unit));
        let name = format!("{}\n{limit}", verdict.feature);
        match groups.iter_mut().find(|(known, _)| *known == name) {
            Some((_, verdicts)) => verdicts.push(verdict),
            None => groups.push((name, vec![verdict])),
        }
    }
    let mut table = Table::of("", &["What", "As built", "Limit", "That is"]);
    for (name, verdicts) in groups {
        let Some(first) = verdicts.first() else { continue };
        let (what, limit) = name.split_once('\n').unwrap_or((&name, ""));
        table.row(vec![
            what.into(),
            range(&verdicts, first).into(),
            limit.into(),
            state(&view.job, &verdicts),
        ]);
    }
    section.table(table);
    section
}

fn range(verdicts: &[&Verdict], first: &Verdict) -> String {
    let judged = verdicts.iter().filter_map(|verdict| verdict.judged.as_ref());
    let values: Vec<Exact> = judged.flat_map(|judged| [Some(judged.value), judged.other]).flatten().collect();
    let show = |value: Option<&Exact>| value.map_or_else(String::new, |value| value.show(first.unit));
    let (least, most) = (show(values.iter().min()), show(values.iter().max()));
    let range = if least == most { least } else { format!("{least} to {most}") };
    format!("{range} {}", first.unit.symbol())
}

fn state(job: &Job, verdicts: &[&Verdict]) -> Cell {
    let beyond: Vec<&&Verdict> = verdicts.iter().filter(|verdict| verdict.is_beyond()).collect();
    if beyond.is_empty() {
        let proven =
            |verdict: &&Verdict| verdict.judged.as_ref().is_some_and(|judged| judged.proof == Proof::Proven);
        return if verdicts.iter().all(proven) { "inside limits" } else { "inside limits, as read" }.into();
    }
    let names: Vec<&str> = beyond.iter().map(|verdict| verdict.name.as_str()).collect();
    let accepted = if beyond.iter().all(|verdict| verdict.is_accepted(job)) { ", accepted" } else { "" };
    Cell::strong(format!("outside limits{accepted}: {}", names.join(", ")))
}

/// Oil and coolant.
fn to_use(job: &Job) -> Section {
    let mut section = Section::new("to-use", "Oil and coolant");
    for customer in job.sheet.iter().map(|sheet| &sheet.customer) {
        for (what, words) in [("Oil", &customer.oil), ("Coolant", &customer.coolant)] {
            if !words.is_empty() {
                section.line(format!("{what}: {words}."));
            }
        }
    }
    section
}

/// The engine's own instructions first, then what the shop says to everybody.
fn break_in(job: &Job) -> Section {
    let mut section = Section::new("break-in", "Breaking it in");
    let own = job.sheet.iter().flat_map(|sheet| &sheet.customer.break_in);
    let house = job.rules.iter().flat_map(|rules| &rules.customer.break_in);
    own.chain(house).for_each(|words| section.line(words.as_str()));
    section
}

/// What stays as it is on somebody's word: blockers set aside, values accepted.
fn left(view: &JobView) -> Section {
    let mut section = Section::new("left", "Left as it was, on whose word");
    let mut table = Table::of("", &["What", "Why", "On the word of"]);
    for now in view.standing.waived.iter().filter(|now| now.state == WaiverState::Holds) {
        // A paper that could not be read is the shop's business, and its words are the bench's.
        let of_engine = now.blockers.iter().filter(|blocker| blocker.rule != BlockerRule::Held);
        let about: Vec<String> = of_engine
            .map(|blocker| {
                let about = if blocker.about.is_empty() { "the engine" } else { &blocker.about };
                format!("{about}: asked for, and left: {}", blocker.rule.word())
            })
            .collect();
        if about.is_empty() {
            continue;
        }
        let about = about.join("\n");
        let by = format!("{}, {}", now.waiver.by, now.said.written);
        table.row(vec![about.into(), now.waiver.why.as_str().into(), by.into()]);
    }
    let accepted = view.standing.statements.iter().filter(|now| now.stands());
    for now in accepted.filter(|now| matches!(now.act, Act::Accepted { .. })) {
        let why = view.job.accepted.iter().find(|accepted| accepted.fact == now.fact);
        let why = why.map_or_else(String::new, |accepted| accepted.why.clone());
        table.row(vec![now.what.as_str().into(), why.into(), format!("{}, {}", now.by, now.written).into()]);
    }
    section.table(table);
    section
}

/// What is guaranteed, and where to ask.
fn warranty(job: &Job) -> Section {
    let mut section = Section::new("warranty", "What is guaranteed, and where to ask");
    for customer in job.rules.iter().map(|rules| &rules.customer) {
        customer.warranty.iter().for_each(|words| section.line(words.as_str()));
        if !customer.ask.is_empty() {
            section.line(format!("Ask: {}. Name job {}.", customer.ask, job.written));
        }
    }
    if section.blocks.is_empty() {
        section.line(format!("No guarantee is written here: ask the shop, and name job {}.", job.written));
    }
    section
}
