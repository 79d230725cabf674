//! What was told of a job, what has changed since, and when it is time to say so.
//!
//! Nothing waits in a list: what gathers is found anew by comparing what holds with what was told, so what came and
//! went within the quarter of an hour leaves nothing to say. All times are Unix milliseconds.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Letters about one job lie at least this far apart: what comes up in between gathers into one.
const GATHER_FOR: i64 = 15 * 60_000;

/// What still waits this long after it was told is told once more.
const REMIND_AFTER: i64 = 24 * 3_600_000;

/// The memory of what was told of one job. Kept beside its state, never in it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Told {
    /// How many batches of letters went out; makes each letter's key its own.
    pub letters: u64,
    /// When the last batch of letters went out; none yet, `None`.
    #[serde(default)]
    pub last: Option<i64>,
    /// What was told and not cleared, by item.
    pub items: BTreeMap<String, ToldItem>,
    /// Statements that were mailed back to whoever they name, in hexadecimal.
    #[serde(default)]
    pub recorded: BTreeSet<String>,
    /// The stage people last saw, and since when, Unix milliseconds.
    pub stage: String,
    /// See `stage`.
    pub since: i64,
}

/// What was told of one item.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ToldItem {
    /// Evidence it was told on, in hexadecimal.
    pub evidence: String,
    /// What was said of it.
    pub headline: String,
    /// Whose business it was.
    #[serde(default = "owner")]
    pub role: Role,
    /// First line that was told.
    pub first: String,
    /// When it was told on this evidence.
    #[serde(default)]
    pub at: i64,
    /// The one reminder went out.
    #[serde(default)]
    pub reminded: bool,
}

/// Whose business it is where a memory does not say.
const fn owner() -> Role {
    Role::Owner
}

impl ToldItem {
    fn of(item: &AlertItem, at: i64) -> Self {
        Self {
            evidence: item.evidence.hex(),
            headline: item.headline.clone(),
            role: item.role,
            first: item.first.clone(),
            at,
            reminded: false,
        }
    }

    /// When a reminder is due, if it still waits then.
    const fn remind_at(&self) -> Option<i64> {
        if self.reminded { None } else { Some(self.at.saturating_add(REMIND_AFTER)) }
    }
}

/// What is different from what was told.
#[derive(Clone, Debug, Default)]
pub struct Changes<'a> {
    /// Never told.
    pub new: Vec<&'a AlertItem>,
    /// Told on other evidence, with what was told.
    pub changed: Vec<(&'a AlertItem, ToldItem)>,
    /// Told, and no longer so.
    pub cleared: Vec<(String, ToldItem)>,
    /// Told a day ago, still so, and still waiting for the same person.
    pub still: Vec<&'a AlertItem>,
}

impl Changes<'_> {
    /// Nothing to say?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.new.is_empty() && self.changed.is_empty() && self.cleared.is_empty() && self.still.is_empty()
    }
}

/// Compares what holds with what was told, at this time.
#[must_use]
pub fn compare<'a>(items: &'a [AlertItem], told: &Told, now: i64) -> Changes<'a> {
    let mut changes = Changes::default();
    for item in items {
        match told.items.get(&item.key) {
            None => changes.new.push(item),
            Some(before) if before.evidence != item.evidence.hex() => {
                changes.changed.push((item, before.clone()))
            }
            Some(before) => {
                if item.waits && before.remind_at().is_some_and(|at| at <= now) {
                    changes.still.push(item);
                }
            }
        }
    }
    let holds = |key: &String| items.iter().any(|item| item.key == *key);
    changes.cleared = told
        .items
        .iter()
        .filter(|(key, _)| !holds(key))
        .map(|(key, item)| (key.clone(), item.clone()))
        .collect();
    changes
}

impl Told {
    /// Until when news of this job gathers; `None` when the next letter may leave at once. A last letter that lies
    /// ahead was written by a clock that has been put back since.
    #[must_use]
    pub fn gathers_until(&self, now: i64) -> Option<i64> {
        let last = self.last.filter(|last| *last <= now)?;
        Some(last.saturating_add(GATHER_FOR)).filter(|until| now < *until)
    }

    /// The memory after a letter told these changes: everything that holds is told.
    #[must_use]
    pub fn after(&self, items: &[AlertItem], changes: &Changes<'_>, now: i64) -> Self {
        let memory = |item: &AlertItem| match self.items.get(&item.key) {
            Some(before) if before.evidence == item.evidence.hex() => {
                let reminded = before.reminded || changes.still.iter().any(|still| still.key == item.key);
                ToldItem { reminded, ..before.clone() }
            }
            Some(_) | None => ToldItem::of(item, now),
        };
        Self {
            letters: self.letters + 1,
            last: Some(now),
            items: items.iter().map(|item| (item.key.clone(), memory(item))).collect(),
            recorded: self.recorded.clone(),
            stage: self.stage.clone(),
            since: self.since,
        }
    }

    /// When the next reminder is due of what holds and waits.
    #[must_use]
    pub fn next_reminder(&self, items: &[AlertItem]) -> Option<i64> {
        let waiting = items.iter().filter(|item| item.waits);
        waiting.filter_map(|item| self.items.get(&item.key)?.remind_at()).min()
    }

    /// Digest of what was told, for the invariant that at rest what was told is what is true.
    #[must_use]
    pub fn evidence(&self) -> BTreeMap<&str, Option<Digest>> {
        self.items.iter().map(|(key, item)| (key.as_str(), Digest::from_hex(&item.evidence))).collect()
    }
}
