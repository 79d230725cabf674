//! What was told of a job, and what has changed since.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The memory of what was told of one job. Kept beside its state, never in it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Told {
    /// How many batches of letters went out; makes each letter's key its own.
    pub letters: u64,
    /// What was told and not cleared, by item.
    pub items: BTreeMap<String, ToldItem>,
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
    /// Whose business it was: the owner's, else the bench's.
    pub owner: bool,
    /// First line that was told.
    pub first: String,
}

impl ToldItem {
    fn of(item: &AlertItem) -> Self {
        Self {
            evidence: item.evidence.hex(),
            headline: item.headline.clone(),
            owner: item.role == Role::Owner,
            first: item.first.clone(),
        }
    }

    /// Whose business it was.
    #[must_use]
    pub const fn role(&self) -> Role {
        if self.owner { Role::Owner } else { Role::Bench }
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
}

impl Changes<'_> {
    /// Nothing to say?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.new.is_empty() && self.changed.is_empty() && self.cleared.is_empty()
    }
}

/// Compares what holds with what was told.
#[must_use]
pub fn compare<'a>(items: &'a [AlertItem], told: &Told) -> Changes<'a> {
    let mut changes = Changes::default();
    for item in items {
        match told.items.get(&item.key) {
            None => changes.new.push(item),
            Some(before) if before.evidence != item.evidence.hex() => {
                changes.changed.push((item, before.clone()))
            }
            Some(_) => {}
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
    /// The memory after these items were told.
    #[must_use]
    pub fn after(&self, items: &[AlertItem]) -> Self {
        Self {
            letters: self.letters + 1,
            items: items.iter().map(|item| (item.key.clone(), ToldItem::of(item))).collect(),
            stage: self.stage.clone(),
            since: self.since,
        }
    }

    /// Digest of what was told, for the invariant that at rest what was told is what is true.
    #[must_use]
    pub fn evidence(&self) -> BTreeMap<&str, Option<Digest>> {
        self.items.iter().map(|(key, item)| (key.as_str(), Digest::from_hex(&item.evidence))).collect()
    }
}
