//! The board: a table of engines, one row each.

use crate::pages::board_row::{BoardRow, Wait};
use crate::pages::frame::{how_long, page};
use jiff::civil::Date;
use maud::{Markup, html};
use serde_json::{Value, json};
use std::cmp::Reverse;
use std::sync::Arc;

/// What the board shows.
#[derive(Clone, Debug, Default)]
pub struct Board {
    /// Name of the shop's site.
    pub site: String,
    /// When it was written, in words of the shop's zone.
    pub written: String,
    /// The same, Unix milliseconds.
    pub now: i64,
    /// The same, as the shop's calendar has it; what is late is late against this.
    pub today: Date,
    /// Every engine.
    pub rows: Vec<Arc<BoardRow>>,
    /// Sentences about the shop that somebody must act on: no people, letters given up, something held.
    pub warnings: Vec<String>,
}

impl Board {
    /// Open engines first, those that wait for the owner before others, then by job.
    fn ordered(&self) -> Vec<&BoardRow> {
        let mut rows: Vec<&BoardRow> = self.rows.iter().map(Arc::as_ref).collect();
        rows.sort_by_key(|row| (row.released, row.stored, row.owner == 0, &row.job));
        rows
    }

    /// Engines that were released before the latest few, by job. A board that lists every engine there ever was is
    /// read by nobody, and would be written anew with each paper.
    fn earlier(&self) -> Vec<&BoardRow> {
        let mut released: Vec<&BoardRow> =
            self.rows.iter().map(Arc::as_ref).filter(|row| row.released).collect();
        released.sort_by_key(|row| (Reverse(row.since), &row.job));
        let mut earlier = released.split_off(released.len().min(RELEASED_SHOWN));
        earlier.sort_by_key(|row| &row.job);
        earlier
    }
}

/// So many of the engines that were released stand on the board, the latest ones.
const RELEASED_SHOWN: usize = 50;

/// The board as a page.
#[must_use]
pub fn board(board: &Board) -> String {
    let earlier = board.earlier();
    let is_earlier =
        |row: &BoardRow| row.released && earlier.binary_search_by_key(&&row.job, |e| &e.job).is_ok();
    let rows: Vec<&BoardRow> = board.ordered().into_iter().filter(|row| !is_earlier(row)).collect();
    let content = html! {
        p.quiet { "Site " (board.site) ", written " (board.written) "." }
        @for warning in &board.warnings { p.out { (warning) } }
        @if rows.is_empty() {
            p { "No engine is checked in yet. Drop a check-in into the drop folder." }
        } @else {
            div.wide { table.rows {
                thead { tr { th { "Job" } th { "Stage" } th { "Waits for" } th { "Look at" } th { "Promised" } } }
                tbody { @for row in rows { (engine(row, board)) } }
            } }
        }
        @if !earlier.is_empty() {
            p { a href="released.html" { (earlier.len()) " engines" } " were released earlier." }
        }
    };
    page("Engines in the shop", "", &content)
}

/// The engines that were released earlier than those on the board, if there are any.
#[must_use]
pub fn released(board: &Board) -> Option<String> {
    let earlier = board.earlier();
    if earlier.is_empty() {
        return None;
    }
    let content = html! {
        p.quiet { a href="board.html" { "The board" } " has the others." }
        div.wide { table.rows {
            thead { tr { th { "Job" } th { "Customer" } th { "Engine" } } }
            tbody { @for row in earlier { tr {
                td { a href={ "jobs/" (row.page) ".html" } { (row.written) } }
                td { (row.customer) }
                td { (row.engine) }
            } } }
        } }
    };
    Some(page("Engines released earlier", "", &content))
}

fn engine(row: &BoardRow, board: &Board) -> Markup {
    let notes = row.notes(board.today);
    html! {
        tr {
            td {
                a href={ "jobs/" (row.page) ".html" } { (row.written) }
                br; a href={ "forms/" (row.page) ".html" } { "bench form" }
                br; (row.customer)
                br; span.quiet { (row.engine) }
            }
            td { span.label { "Stage: " } (row.stage) br; span.quiet { (how_long(row.since, board.now)) } }
            td { span.label { "Waits for: " } (waits(row)) }
            td {
                span.label { "Look at: " }
                @if notes.is_empty() { "nothing" }
                @for (text, strong) in &notes { div { @if *strong { span.out { (text) } } @else { (text) } } }
                @for line in beyond(row) { div.quiet { (line) } }
            }
            td.number { span.label { "Promised: " }
                @if row.is_overdue(board.today) { span.out { (row.promised.as_deref().unwrap_or_default()) ", past" } }
                @else { (row.promised.as_deref().unwrap_or("-")) }
            }
        }
    }
}

/// What is out of limits, those first about which nothing is decided.
fn beyond(row: &BoardRow) -> Vec<String> {
    const SHOWN: usize = 3;
    let mut all: Vec<_> = row.beyond.iter().collect();
    all.sort_by_key(|beyond| beyond.decided);
    let mut lines: Vec<String> = all.iter().take(SHOWN).map(|beyond| beyond.line.clone()).collect();
    if all.len() > SHOWN {
        lines.push(format!("and {} more out of limits", all.len() - SHOWN));
    }
    lines
}

fn waits(row: &BoardRow) -> Markup {
    const SHOWN: usize = 3;
    html! {
        @if row.waits.is_empty() { "nothing" }
        @for wait in row.waits.iter().take(SHOWN) { div { strong { (wait.actor) } ": " (wait.line()) } }
        @if row.waits_in_all > SHOWN { div.quiet { "and " (row.waits_in_all - SHOWN) " more" } }
    }
}

/// The board for a terminal.
#[must_use]
pub fn board_text(board: &Board) -> String {
    let mut out = format!("Engines in the shop, site {}, {}\n", board.site, board.written);
    for warning in &board.warnings {
        out.push_str(&format!("! {warning}\n"));
    }
    for row in board.ordered() {
        let since = how_long(row.since, board.now);
        let promised = match (&row.promised, row.is_overdue(board.today)) {
            (Some(date), true) => format!("; promised {date}, which is past"),
            (Some(date), false) => format!("; promised {date}"),
            (None, _) => String::new(),
        };
        out.push_str(&format!("\n{}  {}  {}\n", row.written, row.customer, row.engine));
        out.push_str(&format!("  {} ({since}){promised}\n", row.stage));
        let notes: Vec<String> = row.notes(board.today).into_iter().map(|(text, _)| text).collect();
        if !notes.is_empty() {
            out.push_str(&format!("  {}\n", notes.join("; ")));
        }
        for line in beyond(row) {
            out.push_str(&format!("  {line}\n"));
        }
        for wait in &row.waits {
            out.push_str(&format!("  waits for {}: {}\n", wait.actor, wait.line()));
        }
        if row.waits_in_all > row.waits.len() {
            let more = row.waits_in_all - row.waits.len();
            out.push_str(&format!("  and {more} more; see job {}\n", row.written));
        }
    }
    if board.rows.is_empty() {
        out.push_str("\nNo engine is checked in yet.\n");
    }
    out
}

/// The board for programs: `{"site", "written", "warnings", "engines": [BoardRow]}`.
#[must_use]
pub fn board_json(board: &Board) -> Value {
    let engines: Vec<Value> = board.ordered().into_iter().map(|row| row_json(row, board.today)).collect();
    json!({ "site": board.site, "written": board.written, "warnings": board.warnings, "engines": engines })
}

fn row_json(row: &BoardRow, today: Date) -> Value {
    let wait = |wait: &Wait| json!({ "actor": wait.actor, "about": wait.about, "what": wait.what });
    json!({
        "job": row.job, "written": row.written, "engine": row.engine, "customer": row.customer, "stage": row.stage,
        "since": row.since, "promised": row.promised, "waits": row.waits.iter().map(wait).collect::<Vec<_>>(),
        "waits-in-all": row.waits_in_all, "beyond": row.beyond.iter().map(|b| &b.line).collect::<Vec<_>>(),
        "questioned": row.questioned, "held": row.held, "released": row.released, "stored": row.stored,
        "facts": row.facts,
        "orders": row.orders.iter().map(|o| json!({
            "order": o.number, "to": o.to, "operation": o.operation, "sent": o.sent, "due": o.due, "late": o.due.0 < today,
            "held": o.held, "rest": o.rest,
        })).collect::<Vec<_>>(),
        "problems": row.problems, "lying": row.lying, "to-order": row.needs, "on-order": row.supplies, "estimates": row.estimates,
        "money": row.money, "signed": row.signed, "gauges": row.gauges, "in-doubt": row.doubts,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each engine stands on exactly one of the two pages, whatever was released when.
    #[test]
    fn engines_released_long_ago_have_a_page_of_their_own() {
        let row = |number: usize| BoardRow {
            job: format!("N/{number:03}"),
            written: format!("no-{number:03}"),
            released: number > 0,
            // The lower the number, the later it was released.
            since: 1_000 - i64::try_from(number).unwrap(),
            ..BoardRow::default()
        };
        let with = |count| Board { rows: (0..count).map(row).map(Arc::new).collect(), ..Board::default() };
        let few = with(RELEASED_SHOWN + 1);
        assert_eq!((released(&few), board(&few).contains("released.html")), (None, false));
        let many = with(RELEASED_SHOWN + 11);
        let (board, released) = (board(&many), released(&many).unwrap());
        assert!(board.contains("released.html"));
        for number in 0..many.rows.len() {
            let (here, there) =
                [&board, &released].map(|page| page.contains(&format!("no-{number:03}"))).into();
            assert_eq!((here, there), (number <= RELEASED_SHOWN, number > RELEASED_SHOWN), "{number}");
        }
    }
}
