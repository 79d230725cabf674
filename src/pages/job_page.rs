//! One engine: stage and blockers first, then every verdict with its reasons, proposals, history.

use crate::facts::show_step;
use crate::judgement::{Judged, Verdict, words};
use crate::metrology::Unit;
use crate::pages::JobView;
use crate::pages::frame::page;
use crate::pages::signing::{codes, signed};
use crate::planning::{GroupPlan, Need};
use crate::shop::Job;
use maud::{Markup, html};

/// The page of one job.
#[must_use]
pub fn job_page(view: &JobView) -> String {
    let job = &view.job;
    let unit = job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit);
    let title = format!("Job {}: {}", job.written, view.standing.words());
    let content = html! {
        p { a href={ "../forms/" (job.key.slug()) ".html" } { "Bench form of this engine" } }
        (received(job))
        h2 { "What it waits for" }
        (blockers(view))
        (signed(view))
        @if !view.judgement.questions.is_empty() { h2 { "Questioned readings" } (questions(view)) }
        h2 { "Out of limits" }
        (out_of_limits(view))
        @if !view.plans.is_empty() { h2 { "Proposals" } @for plan in &view.plans { (proposal(plan, unit)) } }
        h2 { "Agreed and done" }
        (work(job, unit))
        h2 { "Every verdict" }
        (verdicts(view, unit, true))
        (history(view, unit))
        (held(job))
        (codes(view))
    };
    page(&title, "../", &content)
}

fn received(job: &Job) -> Markup {
    html! {
        @if let Some(sheet) = &job.sheet {
            p { (sheet.name) ", sheet " (sheet.key) " revision " (sheet.revision) ", judged in " (unit_name(sheet.unit)) "." }
            @if !sheet.notice.is_empty() { p.quiet { (sheet.notice) } }
        }
        @if let Some(check_in) = &job.check_in {
            p {
                (check_in.customer.name)
                @if !check_in.customer.reach.is_empty() { ", " (check_in.customer.reach) }
                @if let Some(when) = &job.checked_in { "; checked in " (when) }
                @if let Some(date) = &check_in.promised { "; promised " (date) }
                @if !check_in.engine.serial.is_empty() { "; serial " (check_in.engine.serial) }
                @if !check_in.engine.castings.is_empty() { "; castings " (check_in.engine.castings.join(", ")) }
                "; came: " (check_in.scope.join(", "))
            }
            @if !check_in.complaint.is_empty() { p { "Complaint: " (check_in.complaint) } }
            @if !check_in.remarks.is_empty() { p { "On arrival: " (check_in.remarks) } }
            @if !check_in.approver.is_empty() { p { "May approve money: " (check_in.approver) } }
        }
    }
}

const fn unit_name(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
        Unit::CubicCentimetre
        | Unit::PoundForce
        | Unit::Newton
        | Unit::Gram
        | Unit::Psi
        | Unit::Kilopascal
        | Unit::Degree => unit.symbol(),
    }
}

fn blockers(view: &JobView) -> Markup {
    html! {
        @if view.standing.blockers.is_empty() { p { "Nothing: the engine is released." } }
        @else { div.wide { table {
            thead { tr { th { "Gate" } th { "Who" } th { "What" } } }
            tbody { @for blocker in &view.standing.blockers {
                tr {
                    td { (blocker.stage.word()) }
                    td { (blocker.actor.word()) }
                    td { @if !blocker.about.is_empty() { strong { (blocker.about) } ": " } (blocker.what) }
                }
            } }
        } } }
    }
}

fn questions(view: &JobView) -> Markup {
    html! {
        p.quiet { "Kept out of every verdict until a named person confirms or replaces them; never altered." }
        ul { @for question in &view.judgement.questions { li {
            strong { (question.name) } " read " (question.digits) " by " (question.who) ": " (question.why.to_string())
            " (drop " code { (question.reading.fact.short()) } ", reading " (question.reading.row + 1) ")"
            @if !question.was.is_empty() { "; " (question.was) }
            @if !question.stands { span.quiet { " history" } }
        } } }
    }
}

fn out_of_limits(view: &JobView) -> Markup {
    let beyond: Vec<&Verdict> = view.judgement.standing().filter(|verdict| verdict.is_beyond()).collect();
    html! {
        @if beyond.is_empty() { p { "Nothing that is measured is beyond the limit that decides." } }
        @for verdict in beyond { @if let Some(judged) = &verdict.judged {
            p { strong.out { (verdict.title()) } ": " (judged.value_words(verdict.unit)) ", " (judged.limit_words(verdict.unit)) "; "
                (judged.margin_words(verdict.unit)) "; " (judged.state()) }
        } }
    }
}

fn proposal(plan: &GroupPlan, unit: Unit) -> Markup {
    html! {
        h3 { (plan.group) ": "
            @match plan.step { Some(size) => { "all to " (size.show(unit)) } None => { "no size of the sheet cleans up all of them: sleeve, weld or replace" } }
        }
        p { "Because of " (plan.because.join(", ")) "."
            @if plan.optimistic != plan.step { @if let Some(size) = plan.optimistic {
                " On the worn axis " (size.show(unit)) " may do: ask the machinist."
            } }
            @if !plan.unmeasured.is_empty() { " Not measured yet: " (plan.unmeasured.join(", ")) "." }
        }
        p.quiet { "A proposal. Not looked at here: scores, walls, run-out, fillets, hardening, what can be bought, money." }
        div.wide { table {
            thead { tr { th { "Position" } th { "Unworn size" } th { "Safe finish" } th { "Size" } th { "Optimistic finish" } th { "Size" } } }
            tbody { @for need in &plan.needs { (need_row(need, unit)) } }
        } }
    }
}

fn need_row(need: &Need, unit: Unit) -> Markup {
    let step = |step: Option<crate::metrology::Exact>| {
        step.map_or_else(|| "none".to_owned(), |s| show_step(s, unit))
    };
    html! { tr {
        td { (need.name) }
        td.number { (need.original.show(unit)) @if !need.original_read { " (new limit)" } }
        td.number { (need.clean_up.safe.show(unit)) } td.number { (step(need.safe_step)) }
        td.number { (need.clean_up.optimistic.show(unit)) } td.number { (step(need.optimistic_step)) }
    } }
}

/// One line for what is the same on several surfaces: nobody reads twenty lines that differ in a number.
fn work(job: &Job, unit: Unit) -> Markup {
    let size = |size: Option<crate::facts::SizeWord>| {
        size.map_or_else(String::new, |s| format!(" to {}", s.show(unit)))
    };
    let mut lines: Vec<(String, Vec<String>)> = Vec::new();
    let mut add = |text: String, name: String| match lines.iter_mut().find(|(known, _)| *known == text) {
        Some((_, names)) => names.push(name),
        None => lines.push((text, vec![name])),
    };
    for (key, surface) in &job.surfaces {
        let name = job.surface_name(*key);
        if let Some(agreed) = job.agreed.get(key) {
            add(
                format!("{}{}: agreed by {}", agreed.operation, size(agreed.finished), agreed.by),
                name.clone(),
            );
        }
        for done in &surface.done {
            let instance =
                if done.instance == surface.instance { "" } else { ", on the part that was replaced" };
            add(
                format!(
                    "{}{}: done {} by {}{instance}",
                    done.operation,
                    size(done.finished),
                    done.recorded,
                    done.who
                ),
                name.clone(),
            );
        }
    }
    html! {
        @if lines.is_empty() { p { "No work is agreed or done." } }
        @else { ul { @for (text, names) in &lines { li { (text) " (" (names.join(", ")) ")" } } } }
        @if !job.accepted.is_empty() { ul { @for accepted in &job.accepted {
            li { "accepted by " (accepted.by) ": " (accepted.name) " " (accepted.position + 1) ", " (accepted.why) }
        } } }
    }
}

fn verdicts(view: &JobView, unit: Unit, standing: bool) -> Markup {
    let shown: Vec<&Verdict> =
        view.judgement.verdicts.iter().filter(|verdict| verdict.stands == standing).collect();
    html! {
        @if shown.is_empty() { p { "Nothing is measured or asked for yet." } }
        @else { div.wide { table {
            thead { tr { th { "What" } th { "Value" } th { "Limit" } th { "Band" } th { "State" } th { "Why" } } }
            tbody { @for verdict in shown { (verdict_row(verdict, unit)) } }
        } } }
    }
}

fn verdict_row(verdict: &Verdict, sheet_unit: Unit) -> Markup {
    let unit = verdict.unit;
    let incomplete = verdict.is_incomplete();
    html! { tr {
        td { (verdict.title()) br; span.quiet { (verdict.key.condition.word()) @if let Some(basis) = verdict.key.basis { ", " (basis.show(sheet_unit)) } } }
        @match &verdict.judged {
            None => { td { "-" } td { "-" } td { "-" } td { strong { "incomplete" } } td { "missing: " (verdict.missing.join(", ")) } }
            Some(judged) => {
                td.number { (judged.value_words(unit)) @if let Some(other) = judged.other { br; span.quiet { "other end " (words::length(other, unit)) } } }
                td.number { (judged.limit_words(unit)) }
                td {
                    @if judged.deciding.is_none() { "-" }
                    @else if verdict.is_beyond() { strong.out { (judged.band.word()) } }
                    @else { (judged.band.word()) }
                }
                td { @if incomplete { strong { "incomplete" } "; so far " } (judged.state()) }
                td { (reasons(verdict, judged, unit)) }
            }
        }
    } }
}

fn reasons(verdict: &Verdict, judged: &Judged, unit: Unit) -> Markup {
    html! { details {
        summary { @if judged.deciding.is_some() { (judged.margin_words(unit)) } @else { "for information" } }
        @if !verdict.missing.is_empty() { div { "missing: " (verdict.missing.join(", ")) } }
        div { (judged.probability_words()) " " (judged.uncertainty_words(unit)) }
        @for note in &judged.notes { div { (note.words(unit)) } }
        div { @for place in &judged.places { (place.name) " " (place.value.show(unit)) "; " } }
        div { "rule: " (judged.rule) } div { "source: " (judged.source) }
        @if !judged.gauges.is_empty() { div { "gauges: " (judged.gauges.join(", ")) } }
        div { "readings: " @for reading in &judged.readings { code { (reading.fact.short()) } ":" (reading.row + 1) " " } }
    } }
}

fn history(view: &JobView, unit: Unit) -> Markup {
    let any = view.judgement.verdicts.iter().any(|verdict| !verdict.stands);
    html! { @if any { h2 { "History" } p.quiet { "Readings before work, or of parts that were replaced." } (verdicts(view, unit, false)) } }
}

fn held(job: &Job) -> Markup {
    html! {
        @if !job.held.is_empty() { h2 { "Held until history answers" } ul { @for held in &job.held { li {
            (held.kind) " " code { (held.fact.short()) } @if !held.part.is_empty() { ", " (held.part) } ": " (held.why.to_string())
        } } } }
        @if !job.withdrawn.is_empty() { p.quiet { "Withdrawn: " @for id in &job.withdrawn { code { (id.short()) } " " } } }
    }
}
