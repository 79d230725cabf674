//! Every verdict with its reasons, those that stand and history.

use crate::judgement::{Judged, Line, Lines, Verdict, words};
use crate::metrology::Unit;
use crate::metrology::budget::digits;
use crate::pages::JobView;
use crate::pages::limit_strip::{LEGEND, limit_strip};
use crate::pages::sections::{gauges_of, unit_of};
use crate::shop::Job;
use maud::{Markup, html};

/// More than these are folded away: a whole engine has hundreds, and what is beyond stands above by itself.
const AT_ONCE: usize = 30;

/// Two tables: as the engine is, and before work or of parts that were replaced.
pub(super) fn verdicts(view: &JobView) -> Markup {
    let unit = unit_of(&view.job);
    let history = view.judgement.verdicts.iter().any(|verdict| !verdict.stands);
    html! {
        section id="verdicts" {
            h2 { "Every verdict" }
            @let standing = view.judgement.standing().count();
            details open[standing <= AT_ONCE] {
                summary { (standing) " in all, " (view.judgement.standing().filter(|verdict| verdict.is_beyond()).count()) " beyond" }
                p.quiet { (LEGEND) }
                (table(view, unit, true))
            }
        }
        @if history { section id="history" {
            h2 { "History" }
            p.quiet { "Readings before work, or of parts that were replaced." }
            details { summary { "all of it" } (table(view, unit, false)) }
        } }
    }
}

fn table(view: &JobView, unit: Unit, standing: bool) -> Markup {
    let shown: Vec<&Verdict> =
        view.judgement.verdicts.iter().filter(|verdict| verdict.stands == standing).collect();
    html! {
        @if shown.is_empty() { p { "Nothing is measured or asked for yet." } }
        @else { div.wide { table.rows {
            thead { tr { th { "What" } th { "Value" } th { "Limit" } th { "Band" } th { "State" } th { "Why" } } }
            tbody { @for verdict in shown { (row(verdict, unit, &view.job)) } }
        } } }
    }
}

fn label(text: &str) -> Markup {
    html! { span.label { (text) ": " } }
}

fn row(verdict: &Verdict, sheet_unit: Unit, job: &Job) -> Markup {
    let unit = verdict.unit;
    let incomplete = verdict.is_incomplete();
    html! { tr {
        td { (verdict.title()) br; span.quiet {
            (verdict.key.condition.word()) @if let Some(basis) = verdict.key.basis { ", " (basis.show(sheet_unit)) }
        } }
        @match &verdict.judged {
            None => {
                td.none { "-" } td.none { "-" } td.none { "-" }
                td { strong { "incomplete" } } td { "missing: " (verdict.missing.join(", ")) }
            }
            Some(judged) => {
                td.number { (label("Value")) (judged.value_words(unit))
                    @if let Some(other) = judged.other { br; span.quiet { "other end " (words::length(other, unit)) } } }
                td.number { (label("Limit")) (judged.limit_words(unit)) (limit_strip(judged, unit)) }
                td { (label("Band"))
                    @if judged.deciding.is_none() { "-" }
                    @else if verdict.is_beyond() { strong.out { (judged.band.word()) } }
                    @else { (judged.band.word()) }
                }
                td { (label("State")) @if incomplete { strong { "incomplete" } "; so far " } (judged.state())
                    @for (mark, flag) in verdict.doubts() { br; strong { (mark) " " (flag.words) } } }
                td { (reasons(verdict, judged, unit, job)) }
            }
        }
    } }
}

fn reasons(verdict: &Verdict, judged: &Judged, unit: Unit, job: &Job) -> Markup {
    html! { details {
        summary { @if judged.deciding.is_some() { (judged.margin_words(unit)) } @else { "for information" } }
        @if !verdict.missing.is_empty() { div { "missing: " (verdict.missing.join(", ")) } }
        div { (judged.probability_words()) " " (judged.uncertainty_words(unit)) }
        @for note in &judged.notes { div { (note.words(unit)) } }
        @if let Some(generic) = &verdict.fallback {
            div { (generic.words(unit)) } div.quiet { "source: " (generic.source()) }
        }
        div { @for place in &judged.places { (place.name) " " (place.value.show(unit)) "; " } }
        div { "rule: " (judged.rule) } div { "source: " (judged.source) }
        @for gauge in gauges_of(verdict) { div { "gauge: " (gauge) } }
        div { "readings: " @for reading in &judged.readings { code { (reading.fact.short()) } ":" (reading.row + 1) " " } }
        @if let Some(budget) = judged.budget(Some(job)) { (budget_of(&budget, unit)) }
    } }
}

/// Lines of words and not a table: a phone has no room for six columns inside a cell.
fn budget_of(budget: &Lines, unit: Unit) -> Markup {
    let shown = |value: f64| format!("{} {}", digits(value / unit.scale()), unit.symbol());
    html! { details {
        summary { "how sure, line by line" }
        ul { @for line in &budget.lines { li { (line_of(line, &shown)) } } }
        div { "together u " (shown(budget.u)) ", U (k = 2) " (shown(2.0 * budget.u))
            @if budget.freedom.is_finite() { ", " (format!("{:.0}", budget.freedom)) " degrees of freedom" } }
    } }
}

fn line_of(line: &Line, shown: &impl Fn(f64) -> String) -> Markup {
    html! {
        (line.what) ": u " (shown(line.u)) ", "
        @if line.shared { "shared, " (line.enters) ": " (shown(line.effect)) } @else { "its own" }
        "; from " @for (index, source) in line.from.iter().enumerate() {
            @if index > 0 { ", " } (source.words) @if let Some(drop) = source.drop { " " code { (drop.short()) } }
        }
    }
}
