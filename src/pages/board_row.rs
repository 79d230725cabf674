//! One engine in one row: kept in the ledger beside the facts, so that the board reads rows, not histories.

use crate::facts::{Day, Digest, Step};
use crate::judgement::Verdict;
use crate::pages::JobView;
use crate::pages::row_parts::{
    self, RowBeyond, RowDoubt, RowEstimate, RowLying, RowMoney, RowNeed, RowOrder, RowProblem, RowSigned,
    RowSupply,
};
use crate::sheets::same_name;
use crate::shop::{Job, Reading};
use crate::stages::{Actor, Blocker};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Something an engine waits for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Wait {
    /// Who must act: `owner`, `bench` or `machinist`.
    pub actor: String,
    /// The surface or surfaces; empty for the whole engine.
    pub about: String,
    /// What is missing and what to do.
    pub what: String,
}

/// One engine in one row. Field names are the keys of `board --json`.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub struct BoardRow {
    /// Key, SITE/NO.
    pub job: String,
    /// Number as written.
    pub written: String,
    /// File name of its page without ending.
    pub page: String,
    /// Engine family; empty before check-in.
    pub engine: String,
    /// Customer.
    pub customer: String,
    /// Stage in words.
    pub stage: String,
    /// Since when at that stage as people saw it, Unix milliseconds; 0 when unknown.
    pub since: i64,
    /// Promised date.
    pub promised: Option<String>,
    /// What it waits for at its gate, at most eight.
    pub waits: Vec<Wait>,
    /// How many things it waits for at its gate.
    pub waits_in_all: usize,
    /// How many of them are the owner's.
    pub owner: usize,
    /// Standing verdicts beyond their limit.
    pub beyond: Vec<RowBeyond>,
    /// Questioned surfaces, in a line each.
    pub questioned: Vec<String>,
    /// What is held, in a line each.
    pub held: Vec<String>,
    /// Nothing blocks it any more.
    pub released: bool,
    /// Statements recorded.
    pub facts: usize,
    /// Work orders that are out.
    pub orders: Vec<RowOrder>,
    /// Open problems.
    pub problems: Vec<RowProblem>,
    /// Parts in a bath, or of which nobody says where they lie.
    #[serde(default)]
    pub lying: Vec<RowLying>,
    /// What is to be ordered.
    pub needs: Vec<RowNeed>,
    /// What is on its way, or wrong.
    pub supplies: Vec<RowSupply>,
    /// Estimates with their answers.
    pub estimates: Vec<RowEstimate>,
    /// Hours and money.
    pub money: RowMoney,
    /// Signatures.
    pub signed: Vec<RowSigned>,
    /// Set aside, not authorised.
    pub stored: bool,
    /// The day a stored engine is preserved again.
    pub preserve: Option<Day>,
    /// Marks of the gauges its readings rest on.
    pub gauges: Vec<String>,
    /// Readings that their gauge puts in doubt.
    pub doubts: Vec<RowDoubt>,
}

/// More than this nobody reads in a table; the job page has them all.
const MOST_WAITS: usize = 8;

impl BoardRow {
    /// The row of a job. `since` comes from what people were told, not from the job.
    #[must_use]
    pub fn of(view: &JobView, since: i64) -> Self {
        let job = &view.job;
        let mut here: Vec<&Blocker> = view.standing.waits().collect();
        // What the owner must decide must not drown in what is to be measured, nor what waits for the customer: whoever it
        // waits for, the first of it is shown.
        here.sort_by_key(|blocker| (!blocker.comes_first(), blocker.actor));
        let mut asked: BTreeSet<Actor> = BTreeSet::new();
        let mut firsts: Vec<(bool, &Blocker)> =
            here.into_iter().map(|b| (!asked.insert(b.actor), b)).collect();
        firsts.sort_by_key(|(is_further, blocker)| (!blocker.comes_first(), *is_further));
        let here: Vec<&Blocker> = firsts.into_iter().map(|(_, blocker)| blocker).collect();
        let wait = |b: &&Blocker| Wait {
            actor: b.actor.word().to_owned(),
            about: b.about.clone(),
            what: b.what.clone(),
        };
        Self {
            job: job.key.to_string(),
            written: job.written.clone(),
            page: job.key.slug(),
            engine: job.sheet.as_ref().map_or_else(String::new, |sheet| sheet.name.clone()),
            customer: job.check_in.as_ref().map_or_else(String::new, |c| c.customer.name.clone()),
            stage: view.standing.words().to_owned(),
            since,
            promised: job.check_in.as_ref().and_then(|c| c.promised.clone()),
            waits: here.iter().take(MOST_WAITS).map(wait).collect(),
            waits_in_all: here.len(),
            owner: here.iter().filter(|b| b.actor == Actor::Owner).count(),
            beyond: view.judgement.standing().filter(|v| v.is_beyond()).map(|v| beyond(view, v)).collect(),
            questioned: questioned(view),
            held: job
                .held
                .iter()
                .map(|held| format!("{} {}: {}", held.kind, held.fact.short(), held.why))
                .collect(),
            released: view.standing.blockers.is_empty(),
            facts: job.facts,
            orders: row_parts::orders(view),
            problems: row_parts::problems(job),
            lying: row_parts::lying(job),
            needs: row_parts::needs(job),
            supplies: row_parts::supplies(job),
            estimates: row_parts::estimates(job),
            money: row_parts::money(view),
            signed: row_parts::signed(job),
            stored: job.stored().is_some(),
            preserve: job.stored().and_then(|stored| stored.due_again),
            gauges: marks(job),
            doubts: row_parts::doubts(view),
        }
    }

    /// Some lines as one paragraph headed by the job; none without lines.
    #[must_use]
    pub fn said(&self, before: &str, lines: &[String]) -> Vec<String> {
        if lines.is_empty() {
            return Vec::new();
        }
        let mut text = format!("{}, {}", self.written, self.customer);
        for line in lines {
            text.push_str(&format!("\n  {before}{line}"));
        }
        vec![text]
    }
}

impl Wait {
    /// `main journal 3: measure front X`.
    #[must_use]
    pub fn line(&self) -> String {
        if self.about.is_empty() { self.what.clone() } else { format!("{}: {}", self.about, self.what) }
    }
}

fn beyond(view: &JobView, verdict: &Verdict) -> RowBeyond {
    let job = &view.job;
    let unit = verdict.unit;
    let judged = verdict.judged.as_ref();
    let line = judged.map_or_else(String::new, |judged| {
        format!(
            "{}: {}, {} ({})",
            verdict.title(),
            judged.value_words(unit),
            judged.limit_words(unit),
            judged.state()
        )
    });
    let used: BTreeSet<Digest> = judged.into_iter().flat_map(|j| &j.readings).map(|r| r.fact).collect();
    let at = readings(job).filter(|reading| used.contains(&reading.fact)).map(|r| r.recorded).max();
    let decided = view.standing.is_agreed(job, verdict.key.surface)
        || job
            .accepted
            .iter()
            .any(|a| a.position == verdict.key.surface.position && same_name(&a.name, &verdict.feature));
    RowBeyond { line, at: at.map_or(0, |at| at.as_millisecond()), decided }
}

fn readings(job: &Job) -> impl Iterator<Item = &Reading> {
    job.surfaces.values().flat_map(|s| s.sets.values()).flat_map(|s| s.readings.values()).flatten()
}

/// The gauges of its readings as they are written, each once.
fn marks(job: &Job) -> Vec<String> {
    let marks: BTreeSet<&str> =
        readings(job).filter_map(|r| r.gauge.as_ref()).map(|gauge| gauge.mark.as_str()).collect();
    marks.into_iter().map(str::to_owned).collect()
}

fn questioned(view: &JobView) -> Vec<String> {
    let standing = view.judgement.questions.iter().filter(|question| question.stands);
    standing.map(|q| format!("{} read {} by {}: {}", q.name, q.digits, q.who, q.why)).collect()
}

impl BoardRow {
    /// Past the date it was promised for, and not released.
    #[must_use]
    pub fn is_overdue(&self, today: Date) -> bool {
        let promised = self.promised.as_ref().and_then(|date| date.parse::<Date>().ok());
        !self.released && promised.is_some_and(|date| date < today)
    }

    /// What to look at in a few words each, and whether people must see it.
    #[must_use]
    pub fn notes(&self, today: Date) -> Vec<(String, bool)> {
        let mut notes = Vec::new();
        // Who reads the stage alone would look for an engine that the customer has.
        let handed_over = self.signed.iter().any(|signed| signed.step == Step::Delivered.word());
        if handed_over && !self.released {
            notes.push(("delivered, and open again since".to_owned(), true));
        }
        let undecided = self.beyond.iter().filter(|beyond| !beyond.decided).count();
        let mut counted = |count: usize, one: &str, many: &str, strong: bool| {
            if count > 0 {
                notes.push((format!("{count} {}", if count == 1 { one } else { many }), strong));
            }
        };
        counted(undecided, "beyond", "beyond", true);
        counted(self.beyond.len() - undecided, "beyond, decided", "beyond, decided", false);
        counted(self.questioned.len(), "questioned", "questioned", true);
        counted(self.doubts.len(), "gauge in doubt", "gauges in doubt", true);
        counted(self.problems.len(), "open problem", "open problems", true);
        counted(self.held.len(), "held", "held", false);
        counted(self.needs.len(), "item to order", "items to order", false);
        for order in &self.orders {
            let late = order.due.0 < today;
            let due = if late { "late, was due" } else { "due" };
            let with = match (order.held.is_empty(), order.rest.is_empty()) {
                (false, _) => "held, not to be cut yet by".to_owned(),
                (true, false) => format!("{} still with", order.rest),
                (true, true) => "with".to_owned(),
            };
            let strong = late || !order.held.is_empty();
            notes.push((format!("order {} {with} {}, {due} {}", order.number, order.to, order.due), strong));
        }
        for supply in &self.supplies {
            let past = supply.due.is_some_and(|due| due.0 < today);
            let due = supply.due.map_or_else(String::new, |due| {
                if past { format!(", was due {due}") } else { format!(", due {due}") }
            });
            let strong =
                past || matches!(supply.state.as_str(), "late" | "wrong" | "wrong size" | "not available");
            notes.push((format!("{} {}{due}", supply.item, supply.state), strong));
        }
        for estimate in self.estimates.iter().filter(|estimate| estimate.answer.is_empty()) {
            let expired = estimate.expires.0 < today;
            let word = if expired { "expired" } else { "holds until" };
            notes.push((format!("estimate without an answer, {word} {}", estimate.expires), expired));
        }
        if self.money.over {
            notes.push(("costs more than estimated".to_owned(), true));
        }
        if let Some(owed) = self.money.owed {
            notes.push((format!("{owed} to pay"), false));
        }
        if let Some(day) = self.preserve {
            notes.push((format!("preserve again {day}"), day.0 <= today));
        }
        notes
    }
}
