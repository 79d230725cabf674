//! The plan of one engine: what is proposed and what else could be, with its reasons, its parts and its money. Made to be
//! put before a customer, and to be read at the telephone.
//!
//! `lines` puts what is the same on several places into one row, `reasons` says why a line is there, `json` is the same for
//! programs with the drops that would agree to it.
//!
//! A proposal and nothing else: what is done is what people agree, and that is a drop.

mod clearance;
mod json;
mod lines;
mod reasons;
mod versions;

pub(in crate::pages) use clearance::clearance_words;
pub(in crate::pages) use json::offered;
pub use json::plan_json;

use crate::facts::SizeWord;
use crate::metrology::{Exact, Unit};
use crate::pages::JobView;
use crate::pages::frame::page;
use crate::pages::section::{Block, Cell, Section, Table};
use crate::pages::sections::{self, unit_of};
use crate::planning::{Aim, Alternative, Need, PlanLine, Proposal};
use crate::stages::{Blocker, BlockerRule};
use jiff::Span;
use jiff::civil::Date;
use maud::html;

const CAUTION: &str = "A proposal from readings, findings and the sheet; people decide, and nothing is cut before the money is \
    approved and the parts are crack tested. Not looked at: fillets, core shift, and where the sheet does not say it the \
    depth of hardening. Local codes and \
    licensed or qualified practice govern.";

/// Is there anything to plan, or was anything ever agreed? Something was measured or found.
#[must_use]
pub fn has_plan(view: &JobView) -> bool {
    let says_something = |proposal: &Proposal| {
        !proposal.needs.is_empty() || proposal.alternatives.iter().any(Alternative::changes_anything)
    };
    view.proposal().is_some_and(says_something) || versions::is_any(view)
}

/// The plan of one job as a page.
#[must_use]
pub fn plan_page(view: &JobView) -> String {
    let content = html! {
        @for block in sections::about(view) { (block.html()) }
        @for part in parts(view) { (part.html(false)) }
        @if open_to_agree(view) {
            p.sign {
                "Agreed to plan " span {} " up to " span {} br; "name " span {} " date " span {} " signature " span {} br;
                "What is signed here counts once a decision with the plan's evidence code is dropped."
            }
        }
        p.quiet { (CAUTION) }
    };
    page(&format!("Plan of job {}", view.job.written), "../", &content)
}

/// Is there work that somebody may still agree to? Then the paper has lines to sign on.
fn open_to_agree(view: &JobView) -> bool {
    view.proposal().is_some_and(|proposal| proposal.alternatives.iter().any(Alternative::has_work))
}

/// The same for a terminal.
#[must_use]
pub fn plan_text(view: &JobView) -> String {
    let mut out = format!("Plan of job {}\n", view.job.written);
    for block in sections::about(view) {
        if let Block::Line(text) | Block::Strong(text) | Block::Quiet(text) = block {
            out.push_str(&format!("{text}\n"));
        }
    }
    for part in parts(view) {
        part.text(true, &mut out);
    }
    out.push_str(&format!("\n{CAUTION}\n"));
    out
}

fn parts(view: &JobView) -> Vec<Section> {
    let Some(proposal) = view.proposal() else {
        let mut nothing = Section::new("plan", "Plan");
        nothing.line(match &view.job.sheet {
            None => "Nothing can be planned: the engine has no sheet yet.",
            Some(_) => "Nothing is planned any more: the engine is together, or set aside.",
        });
        let mut parts = vec![nothing, versions::section(view), sections::work(view), sections::money(view)];
        parts.retain(|part| !part.is_empty());
        return parts;
    };
    let mut parts = vec![wishes(proposal)];
    let several = proposal.alternatives.len() > 1;
    let in_all = if several { common(proposal) } else { Vec::new() };
    for (index, alternative) in proposal.alternatives.iter().enumerate() {
        let own: Vec<&PlanLine> = alternative.lines.iter().filter(|line| !in_all.contains(line)).collect();
        parts.push(one(view, alternative, several.then_some(index), &own));
    }
    let mut always = Section::new("always", "In each of these plans");
    always.table(lines::work(view, &in_all));
    always.table(lines::bought(view, &in_all));
    parts.push(always);
    parts.push(sections::care_of_plans(&view.job, every_line(proposal)));
    parts.push(needs(view, proposal));
    parts.push(versions::section(view));
    parts.push(sections::work(view));
    parts.push(sections::money(view));
    parts.retain(|part| !part.is_empty());
    parts
}

/// The lines of every plan.
fn every_line(proposal: &Proposal) -> impl Iterator<Item = &PlanLine> {
    proposal.alternatives.iter().flat_map(|alternative| &alternative.lines)
}

/// Lines that stand in every plan: nobody reads them twice.
fn common(proposal: &Proposal) -> Vec<&PlanLine> {
    let Some((first, others)) = proposal.alternatives.split_first() else { return Vec::new() };
    let in_all = |line: &&PlanLine| others.iter().all(|other| other.lines.contains(line));
    first.lines.iter().filter(in_all).collect()
}

fn wishes(proposal: &Proposal) -> Section {
    let mut section = Section::new("wishes", "Wished");
    for wish in &proposal.wishes {
        let line = lines::sentence(&wish.words);
        section.blocks.push(if wish.kept { Block::Line(line) } else { Block::Strong(line) });
    }
    section
}

/// The letter of an alternative, by which an estimate and agreed work name it.
const LETTERS: [&str; 3] = ["A", "B", "C"];

fn one(view: &JobView, alternative: &Alternative, index: Option<usize>, own: &[&PlanLine]) -> Section {
    let (anchor, heading) = match index {
        Some(0) => ("plan-a", "Plan A"),
        Some(1) => ("plan-b", "Plan B"),
        Some(2) => ("plan-c", "Plan C"),
        Some(_) | None => ("plan", "Plan"),
    };
    let word = |aim: &Aim| match aim {
        Aim::UsualOrder => "the usual order of remedies",
        Aim::LeastMetal | Aim::LeastCost | Aim::Soonest => aim.word(),
    };
    let mut serves: Vec<&str> = alternative.serves.iter().map(word).collect();
    if alternative.keeps_bore {
        serves.push("keeping the standard bore");
    }
    if alternative.wished {
        serves.insert(0, "what was wished");
    }
    let mut section = Section::new(anchor, heading);
    section.blocks.push(Block::Strong(lines::in_short(view, alternative)));
    section.line(format!("Best for: {}.", serves.join(", ")));
    section.line(totals(view, alternative));
    section.blocks.extend(not_in_it(view));
    for (about, why) in lines::unsolved(alternative) {
        section
            .blocks
            .push(Block::Strong(format!("{about}: nothing known brings it within limits ({why}).")));
    }
    section.table(lines::work(view, own));
    section.table(lines::bought(view, own));
    for effect in alternative.effects.iter().filter(|effect| effect.inside == Some(false)) {
        let (what, limit) = (effect.what.word(), effect.limit.as_deref().unwrap_or_default());
        let words = format!("{what} {}: {}, {limit}: this plan breaks it.", effect.position, effect.then);
        section.blocks.push(Block::Strong(lines::sentence(words.trim_end_matches('.'))));
    }
    section.more_table(lines::effects(alternative));
    if alternative.has_work() {
        let code = lines::agreement_code(view, alternative);
        section.blocks.push(Block::Quiet(format!(
            "Evidence code to quote by whoever agrees to exactly this machining: {code}"
        )));
    }
    section
}

/// What a reader would think is in the sum.
fn not_in_it(view: &JobView) -> Vec<Block> {
    let mut blocks = Vec::new();
    if view.proposal().is_some_and(|proposal| !proposal.weighed) {
        let words = "There is too much to weigh every combination: this is the best by its aim, and a ceiling was not \
            searched for.";
        blocks.push(Block::Line(words.to_owned()));
    }
    let open = view.proposal().map_or(&[][..], |proposal| proposal.open.as_slice());
    if !open.is_empty() {
        let words = format!("not measured yet, so in no plan: {}; the sum may grow", open.join(", "));
        blocks.push(Block::Strong(lines::sentence(&words)));
    }
    let measured = |blocker: &&Blocker| blocker.rule == BlockerRule::Measured;
    let open: Vec<&str> =
        view.standing.blockers.iter().filter(measured).map(|blocker| blocker.about.as_str()).collect();
    if let Some((first, others)) = open.split_first() {
        let more = match others.len() {
            0 => String::new(),
            1 => " and one thing more".to_owned(),
            some => format!(" and {some} things more"),
        };
        let words =
            format!("the inspection still asks for {first}{more}: what they show may change the plan");
        blocks.push(Block::Strong(lines::sentence(&words)));
    }
    if view.job.is_begun() {
        let words = "Work has begun: this is what is still to come. What was spent stands under Money.";
        blocks.push(Block::Line(words.to_owned()));
    }
    blocks
}

fn totals(view: &JobView, alternative: &Alternative) -> String {
    let cost = &alternative.cost;
    let mut words = Vec::new();
    match (cost.money.is_zero(), cost.unpriced) {
        (_, 0) => words.push(format!("comes to {}", view.money(cost.money))),
        (true, _) => words.push("the price list has no price for any of it".to_owned()),
        (false, some) => words.push(format!(
            "comes to {}, and {} beside",
            view.money(cost.money),
            lines::things(some, "price")
        )),
    }
    match (cost.days, cost.undated) {
        (0, 0) => {}
        (days, 0) => words.push(format!("ready for assembly {days} days after the approval")),
        (0, some) => words.push(format!("how long it takes is not known of {}", lines::things(some, "time"))),
        (days, some) => words.push(format!(
            "ready for assembly {days} days after the approval, later if {} asks for more",
            lines::things(some, "time")
        )),
    }
    words.extend(against_the_promise(view, cost.days));
    if cost.metal != Exact::ZERO {
        let unit = unit_of(&view.job);
        words.push(format!("metal taken, all places added up, {} {}", cost.metal.show(unit), unit.symbol()));
    }
    lines::sentence(&words.join("; "))
}

/// What so many days make of the day that was promised. Nobody knows how long assembly takes, so it is not counted; nor is
/// anything once work has begun, when the days are those of the rest.
fn against_the_promise(view: &JobView, days: u32) -> Option<String> {
    let promised: Date = view.job.check_in.as_ref()?.promised.as_ref()?.parse().ok()?;
    if days == 0 || view.job.is_begun() {
        return None;
    }
    let span = Span::new().try_days(days).ok()?;
    let approved = view.job.books.approvals.last().filter(|approval| approval.approval.granted);
    let Some(approved) = approved else {
        let by = promised.checked_sub(span).ok()?;
        return Some(format!(
            "promised for {promised}, so approved after {by} it is late before assembly begins, which takes its time too"
        ));
    };
    let ready = approved.said.day().checked_add(span).ok()?;
    let late = if promised < ready { "TOO LATE: " } else { "" };
    Some(format!("{late}ready for assembly on {ready}, promised for {promised}"))
}

/// What each position needs to come out whole.
fn needs(view: &JobView, proposal: &Proposal) -> Section {
    let mut section = Section::new("needs", "What cleans up at which size");
    let unit = unit_of(&view.job);
    let mut features: Vec<usize> = proposal.needs.keys().map(|key| key.feature).collect();
    features.dedup();
    for feature in features {
        let Some(group) = view.job.sheet.as_ref().and_then(|sheet| sheet.features.get(feature)) else {
            continue;
        };
        let mut table = Table::of(
            group.name.as_str(),
            &[
                "Position",
                "Size now",
                "Unworn",
                "Worst",
                "Score",
                "Safe finish",
                "Its size",
                "Optimistic",
                "Its size",
            ],
        );
        proposal
            .needs
            .values()
            .filter(|need| need.surface.feature == feature)
            .for_each(|need| table.row(row(need, unit)));
        section.table(table);
    }
    for refused in &proposal.refused {
        let size = refused.size.show(unit);
        let words = format!("{}, not {size}: {}", lines::group(view, refused), refused.why.join("; "));
        section.line(lines::sentence(&words));
    }
    if !section.is_empty() {
        section.blocks.push(Block::Quiet(
            "Safe: on the axis it was first made on, all wear on one side. Optimistic: on the worn axis. Both with U (k = 2); \
             the size is chosen at the far end of it. A score's depth counts twice."
                .to_owned(),
        ));
    }
    section
}

fn row(need: &Need, unit: Unit) -> Vec<Cell> {
    let step = |step: Option<Exact>| {
        step.map_or_else(|| "none".to_owned(), |step| crate::facts::show_step(step, unit))
    };
    let with = |size: Exact, expanded: Option<f64>| match expanded {
        Some(expanded) => format!("{} ± {}", size.show(unit), lines::small(expanded, unit)),
        None => format!("{} (no gauge named)", size.show(unit)),
    };
    let score = match (need.score, need.score_anywhere) {
        (Some(depth), true) => format!("{} (say where it lies)", depth.show(unit)),
        (Some(depth), false) => depth.show(unit),
        (None, _) => String::new(),
    };
    let questioned = match need.questioned {
        0 => String::new(),
        1 => " (1 reading questioned, not counted)".to_owned(),
        some => format!(" ({some} readings questioned, not counted)"),
    };
    vec![
        need.name.as_str().into(),
        size_words(need.in_hand, unit).into(),
        format!("{}{}", need.original.show(unit), if need.original_read { "" } else { " (new limit)" })
            .into(),
        format!("{}{questioned}", need.worst.show(unit)).into(),
        score.into(),
        with(need.clean_up.safe, need.expanded.map(|(safe, _)| safe)).into(),
        step(need.safe_step).into(),
        with(need.clean_up.optimistic, need.expanded.map(|(_, optimistic)| optimistic)).into(),
        step(need.optimistic_step).into(),
    ]
}

pub(super) fn size_words(size: SizeWord, unit: Unit) -> String {
    size.show(unit)
}
