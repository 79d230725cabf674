//! The daily page: what waits for a decision, what is late, what to order, where every engine stands.
//!
//! It is made from the board's rows and a few lists, so that no engine is folded for it; days are compared with the
//! local date the summary is for. `due` says for which dates, `section` words its parts. It decides nothing and tells
//! nobody at once: what cannot wait for a morning is an alert.

mod due;
mod section;

pub use due::{Due, due};

use crate::facts::Role;
use crate::notices::html;
use crate::notices::letter::{Letter, Sections};
use crate::pages::{BoardRow, today};
use crate::shop::{GaugeNow, RULE_SET, Shop};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan as _};
use serde_json::{Value, json};
use std::sync::Arc;

/// What a summary is made from.
#[derive(Clone, Debug, Default)]
pub struct SummaryInput {
    /// Every engine.
    pub rows: Vec<Arc<BoardRow>>,
    /// Papers returned since the last summary: name and first fault.
    pub returned: Vec<(String, String)>,
    /// Papers filed since the last summary.
    pub filed: usize,
    /// Letters that could not be delivered and were given up.
    pub dead_letters: u64,
    /// Shop-wide statements that wait.
    pub shop_held: Vec<String>,
    /// The shop's gauges.
    pub gauges: Vec<GaugeNow>,
}

/// The days of a summary as its sections need them.
struct Days<'a> {
    due: &'a Due,
    zone: &'a TimeZone,
}

impl Days<'_> {
    /// The local date of an instant in Unix milliseconds.
    fn date(&self, at: i64) -> Option<Date> {
        Some(self.zone.to_datetime(Timestamp::from_millisecond(at).ok()?).date())
    }

    /// On a day this summary looks back on: those before the ones it is for, each once.
    fn is_news(&self, at: i64) -> bool {
        let day = |date: Date| date.checked_sub(1.day()).unwrap_or(date);
        self.date(at).is_some_and(|date| date >= day(self.due.from) && date <= day(self.due.date))
    }

    /// Whole days from an instant to the day of the summary.
    fn age(&self, at: i64) -> i32 {
        self.date(at).map_or(0, |date| days_between(date, self.due.date))
    }

    /// So many hours are over on the day of the summary, by the end of the day before.
    fn has_lasted(&self, at: i64, hours: u32) -> bool {
        self.over_on(at, hours).is_some_and(|day| self.is_past(day))
    }

    /// They are since the last summary.
    fn has_newly_lasted(&self, at: i64, hours: u32) -> bool {
        self.over_on(at, hours).is_some_and(|day| self.is_newly_past(day))
    }

    /// The local date on which so many hours are over.
    fn over_on(&self, at: i64, hours: u32) -> Option<Date> {
        self.date(at.checked_add(i64::from(hours) * 3_600_000)?)
    }

    /// Past on the day of the summary.
    fn is_past(&self, day: Date) -> bool {
        day < self.due.date
    }

    /// Past since the last summary.
    fn is_newly_past(&self, day: Date) -> bool {
        let before = self.due.from.checked_sub(1.day()).unwrap_or(self.due.from);
        self.is_past(day) && day >= before
    }
}

/// From the first day to the second.
fn days_between(from: Date, to: Date) -> i32 {
    from.until(to).map_or(0, |span| span.get_days())
}

/// The summary as one letter to each owner.
#[must_use]
pub fn summary(input: &SummaryInput, due: &Due, zone: &TimeZone, shop: &Shop) -> Vec<Letter> {
    let days =
        if due.from == due.date { due.date.to_string() } else { format!("{} to {}", due.from, due.date) };
    let (subject, mut sections) = worded(input, &Days { due, zone }, &days);
    // A page that says every day what it said yesterday is not read on the day it says something else.
    let quiet = input.filed == 0 && input.returned.is_empty() && input.dead_letters == 0;
    if quiet && !section::something_turned(input, &Days { due, zone }) {
        let line = "Nothing was dropped since the last summary and no day has passed that something was due; \
                    everything stands as it did, see the board.";
        sections = vec![(String::new(), vec![line.to_owned()])];
    }
    let key = format!("summary/{}", due.date);
    let owners = shop.letters_to(Role::Owner).into_iter();
    owners.filter_map(|person| Letter::to(person, &key, None, &subject, &sections)).collect()
}

/// The whole page as plain text, for a terminal; whoever asks wants it even when nothing is new.
#[must_use]
pub fn summary_text(input: &SummaryInput, due: &Due, zone: &TimeZone) -> String {
    let (subject, sections) = worded(input, &Days { due, zone }, &due.date.to_string());
    html::text(&subject, &sections)
}

/// The same as a page of the board, for whoever looks on whatever device. How many papers came since the letter is the letter's.
#[must_use]
pub fn summary_page(input: &SummaryInput, due: &Due, zone: &TimeZone) -> String {
    let (subject, mut sections) = worded(input, &Days { due, zone }, &due.date.to_string());
    sections.retain(|(heading, _)| !heading.is_empty());
    today(&subject, &sections)
}

/// The same for programs: `{"date", "subject", "sections": [{"title", "lines"}], "filed", "returned", "dead-letters"}`.
#[must_use]
pub fn summary_json(input: &SummaryInput, due: &Due, zone: &TimeZone) -> Value {
    let (subject, sections) = worded(input, &Days { due, zone }, &due.date.to_string());
    let section = |(title, lines): &(String, Vec<String>)| json!({"title": title, "lines": lines});
    json!({
        "date": due.date.to_string(), "subject": subject,
        "sections": sections.iter().map(section).collect::<Vec<_>>(),
        "filed": input.filed, "returned": input.returned.len(), "dead-letters": input.dead_letters,
    })
}

/// `1 engine open`, `2 engines open`.
fn counted(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

fn worded(input: &SummaryInput, days: &Days<'_>, shown: &str) -> (String, Sections) {
    let open: Vec<&BoardRow> = input.rows.iter().map(Arc::as_ref).filter(|row| !row.released).collect();
    let decisions: usize = open.iter().map(|row| row.owner).sum();
    let engines = counted(open.len(), "engine open", "engines open");
    let subject = format!("Shop {shown}: {engines}, {} waiting", counted(decisions, "decision", "decisions"));
    let mut sections = section::all(input, &open, days);
    let filed = counted(input.filed, "paper", "papers");
    sections
        .push((String::new(), vec![format!("{filed} filed since the last summary. Rule set {RULE_SET}.")]));
    sections.retain(|(_, paragraphs)| !paragraphs.is_empty());
    (subject, sections)
}

#[cfg(test)]
mod tests;
