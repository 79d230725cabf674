//! One engine on one page: what it waits for first, then what is wrong with it, what is done about it, where its
//! parts are, its money, and every verdict with its reasons.
//!
//! No clock goes in: how long something lasts and what is late stands on the board and in the summary, which are written
//! anew as days pass.

mod verdicts;

use crate::pages::JobView;
use crate::pages::build_record::has_record;
use crate::pages::drawings::{days_of_job, drawings};
use crate::pages::frame::page;
use crate::pages::labels::has_labels;
use crate::pages::plan::has_plan;
use crate::pages::section::Section;
use crate::pages::sections;
use maud::{Markup, html};

/// Everything but the verdicts, in the order a person asks.
pub(super) fn sections_of(view: &JobView) -> Vec<Section> {
    let all: &[fn(&JobView) -> Section] = &[
        sections::waits,
        sections::care,
        sections::held,
        sections::problems,
        sections::whereabouts,
        sections::questions,
        sections::doubts,
        sections::beyond,
        sections::proposals,
        sections::work,
        sections::fits,
        sections::orders,
        sections::supplies,
        sections::loosening,
        sections::joints,
        sections::checks,
        sections::bags,
        sections::parts,
        sections::findings,
        sections::money,
        sections::decided,
        sections::codes,
        sections::signatures,
        sections::issued,
    ];
    all.iter().map(|section| section(view)).collect()
}

/// The page of one job.
#[must_use]
pub fn job_page(view: &JobView) -> String {
    let job = &view.job;
    let title = format!("Job {}: {}", job.written, view.standing.words());
    let parts = sections_of(view);
    let drawn =
        [("days", "Days of the job", days_of_job(view)), ("drawings", "Drawn as measured", drawings(view))];
    let content = html! {
        @for block in sections::about(view) { (block.html()) }
        (contents(view, &parts, &drawn))
        @for part in &parts { (part.html(true)) }
        @for (_, _, drawing) in &drawn { (drawing) }
        (verdicts::verdicts(view))
    };
    page(&title, "../", &content)
}

/// Where on the page things are.
fn contents(view: &JobView, parts: &[Section], drawn: &[(&str, &str, Markup)]) -> Markup {
    let there = |part: &&Section| !part.is_empty();
    html! {
        p.contents {
            @for part in parts.iter().filter(there) { a href={ "#" (part.anchor) } { (part.title) } " " }
            @for (anchor, title, drawing) in drawn { @if !drawing.0.is_empty() { a href={ "#" (anchor) } { (title) } " " } }
            a href="#verdicts" { "Every verdict" } " "
            a href={ "../forms/" (view.job.key.slug()) ".html" } { "Bench form of this engine" } " "
            @if has_labels(&view.job) { a href={ "../labels/" (view.job.key.slug()) ".html" } { "Labels" } " " }
            @if has_plan(view) { a href={ "../plans/" (view.job.key.slug()) ".html" } { "Plan" } " " }
            @if has_record(&view.job) {
                a href={ "../records/" (view.job.key.slug()) ".html" } { "Build record" } " "
                a href={ "../customers/" (view.job.key.slug()) ".html" } { "Customer page" }
            }
        }
    }
}
