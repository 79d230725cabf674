//! Arrivals: did my file arrive, and was it understood?

use crate::pages::frame::page;
use maud::{Markup, html};

/// One paper that arrived.
#[derive(Clone, Debug, Default)]
pub struct ArrivalLine {
    /// When, in words of the shop's zone.
    pub at: String,
    /// Its name.
    pub name: String,
    /// `filed`, `copy` or `returned`.
    pub outcome: String,
    /// Kind and job, where it was understood.
    pub about: String,
    /// Digest of its bytes: short, and full.
    pub hash: Option<(String, String)>,
    /// Where it lies now, relative to the watch folder.
    pub place: String,
    /// The slip, where it was returned.
    pub slip: String,
    /// What is remarkable about it.
    pub remark: String,
}

/// A paper that still waits in the drop folder.
#[derive(Clone, Debug)]
pub struct WaitingLine {
    /// Its name.
    pub name: String,
    /// Why it waits.
    pub why: String,
}

/// What the arrivals page shows.
#[derive(Clone, Debug, Default)]
pub struct Arrivals {
    /// When it was written, in words of the shop's zone.
    pub written: String,
    /// Newest first.
    pub lines: Vec<ArrivalLine>,
    /// Still in the drop folder.
    pub waiting: Vec<WaitingLine>,
    /// Accepted statements that wait for history: job or shop, and why.
    pub held: Vec<(String, String)>,
    /// Letters that are not delivered yet, with the last answer.
    pub letters: Vec<(String, String)>,
}

/// The arrivals page.
#[must_use]
pub fn arrivals(arrivals: &Arrivals) -> String {
    let content = html! {
        p.quiet { "Written " (arrivals.written) ". Name a drop in a correction or a withdrawal by its digest." }
        (list("Waiting in the drop folder", arrivals.waiting.iter().map(|w| (w.name.as_str(), w.why.as_str()))))
        (list("Held until history answers", arrivals.held.iter().map(|(job, why)| (job.as_str(), why.as_str()))))
        (list("Letters not delivered yet", arrivals.letters.iter().map(|(to, why)| (to.as_str(), why.as_str()))))
        h2 { "Newest first" }
        @if arrivals.lines.is_empty() { p { "Nothing has arrived yet." } }
        @else { div.wide { table {
            thead { tr { th { "Paper and digest" } th { "Outcome" } th { "About" } th { "When" } } }
            tbody { @for line in &arrivals.lines { (paper(line)) } }
        } } }
    };
    page("Arrivals", "", &content)
}

fn list<'a>(title: &str, entries: impl Iterator<Item = (&'a str, &'a str)>) -> Markup {
    let entries: Vec<(&str, &str)> = entries.collect();
    html! {
        @if !entries.is_empty() {
            h2 { (title) }
            ul { @for (name, why) in entries { li { strong { (name) } ": " (why) } } }
        }
    }
}

fn paper(line: &ArrivalLine) -> Markup {
    html! {
        tr {
            td {
                (line.name) br;
                @if let Some((short, full)) = &line.hash { code title=(full) { (short) } br; }
                span.quiet { (line.place) }
            }
            td {
                @if line.outcome == "returned" { span.out { "returned" } } @else { (line.outcome) }
                @if !line.remark.is_empty() { br; (line.remark) }
                @if !line.slip.is_empty() { details { summary { "slip" } @for text in line.slip.lines() { div { (text) } } } }
            }
            td { (line.about) }
            td.number { (line.at) }
        }
    }
}
