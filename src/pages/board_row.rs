//! One engine in one row: kept in the ledger beside the facts, so that the board reads rows, not histories.

use crate::judgement::Verdict;
use crate::pages::JobView;
use crate::stages::{Actor, Blocker};
use serde::{Deserialize, Serialize};

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
#[serde(rename_all = "kebab-case")]
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
    /// Standing verdicts beyond their limit, in a line each.
    pub beyond: Vec<String>,
    /// Questioned surfaces, in a line each.
    pub questioned: Vec<String>,
    /// What is held, in a line each.
    pub held: Vec<String>,
    /// Nothing blocks it any more.
    pub released: bool,
    /// Statements recorded.
    pub facts: usize,
}

/// More than this nobody reads in a table; the job page has them all.
const MOST_WAITS: usize = 8;

impl BoardRow {
    /// The row of a job. `since` comes from what people were told, not from the job.
    #[must_use]
    pub fn of(view: &JobView, since: i64) -> Self {
        let job = &view.job;
        let mut here: Vec<&Blocker> = view.standing.here().collect();
        // What the owner must decide must not drown in what is to be measured.
        here.sort_by_key(|blocker| blocker.actor);
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
            beyond: view.judgement.standing().filter(|v| v.is_beyond()).map(|v| beyond_line(v)).collect(),
            questioned: questioned(view),
            held: job
                .held
                .iter()
                .map(|held| format!("{} {}: {}", held.kind, held.fact.short(), held.why))
                .collect(),
            released: view.standing.blockers.is_empty(),
            facts: job.facts,
        }
    }

    /// What it waits for from one actor, headed by the job.
    #[must_use]
    pub fn waiting_for(&self, actor: &str) -> Vec<String> {
        let mine: Vec<String> = self.waits.iter().filter(|w| w.actor == actor).map(Wait::line).collect();
        self.said("", &mine)
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

    /// Job, stage and first wait in a paragraph.
    #[must_use]
    pub fn line(&self) -> String {
        let promised = self.promised.as_ref().map_or_else(String::new, |date| format!(", promised {date}"));
        let more = self.waits_in_all.saturating_sub(1);
        let waits = self.waits.first().map_or_else(
            || "waits for nothing".to_owned(),
            |wait| {
                if more == 0 {
                    format!("waits for {}: {}", wait.actor, wait.line())
                } else {
                    format!("waits for {}: {} (and {more} more)", wait.actor, wait.line())
                }
            },
        );
        format!("{}, {}\n  {}{promised}\n  {waits}", self.written, self.customer, self.stage)
    }
}

impl Wait {
    /// `main journal 3: measure front X`.
    #[must_use]
    pub fn line(&self) -> String {
        if self.about.is_empty() { self.what.clone() } else { format!("{}: {}", self.about, self.what) }
    }
}

fn beyond_line(verdict: &Verdict) -> String {
    let unit = verdict.unit;
    verdict.judged.as_ref().map_or_else(String::new, |judged| {
        format!(
            "{}: {}, {} ({})",
            verdict.title(),
            judged.value_words(unit),
            judged.limit_words(unit),
            judged.state()
        )
    })
}

fn questioned(view: &JobView) -> Vec<String> {
    let standing = view.judgement.questions.iter().filter(|question| question.stands);
    standing.map(|q| format!("{} read {} by {}: {}", q.name, q.digits, q.who, q.why)).collect()
}
