//! Statements by name: a set, so that dropping something twice changes nothing.

use crate::facts::{Digest, Fact};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The accepted statements of one job, or of the shop.
#[derive(Clone, Debug, Default)]
pub struct FactSet {
    /// Shared, since a job keeps the set it was folded from.
    by_id: Arc<BTreeMap<Digest, Arc<Fact>>>,
    /// Digests of bytes lead to their statement; several papers can carry one statement.
    by_bytes: Arc<BTreeMap<Digest, Digest>>,
}

/// What a written digest names.
#[derive(Clone, Debug)]
pub enum Named<'a> {
    /// Exactly this statement.
    One(&'a Arc<Fact>),
    /// Nothing that is here.
    Nothing,
    /// More than one statement begins like that.
    Several,
}

impl FactSet {
    /// Adds a statement; one that is there already only adds a name for its bytes. True if it was new.
    pub fn insert(&mut self, fact: Arc<Fact>) -> bool {
        if self.by_bytes.get(&fact.bytes) != Some(&fact.id) {
            Arc::make_mut(&mut self.by_bytes).insert(fact.bytes, fact.id);
        }
        let is_new = !self.by_id.contains_key(&fact.id);
        if is_new {
            Arc::make_mut(&mut self.by_id).insert(fact.id, fact);
        }
        is_new
    }

    /// How many statements.
    #[must_use]
    pub fn len(&self) -> usize {
        self.by_id.len()
    }

    /// None?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.by_id.is_empty()
    }

    /// All statements in recorded order.
    #[must_use]
    pub fn in_order(&self) -> Vec<&Arc<Fact>> {
        let mut facts: Vec<&Arc<Fact>> = self.by_id.values().collect();
        facts.sort_by_cached_key(|fact| fact.order());
        facts
    }

    /// The statement with this name.
    #[must_use]
    pub fn get(&self, id: &Digest) -> Option<&Arc<Fact>> {
        self.by_id.get(id)
    }

    /// What a person's digest names, full or short, of content or of bytes.
    #[must_use]
    pub fn named(&self, written: &str) -> Named<'_> {
        let prefix = written.to_ascii_lowercase();
        let Some((low, high)) = range(&prefix) else { return Named::Nothing };
        let mut found: BTreeSet<Digest> = self.by_id.range(low..=high).map(|(id, _)| *id).collect();
        found.extend(self.by_bytes.range(low..=high).map(|(_, id)| *id));
        let mut ids = found.iter();
        match (ids.next().and_then(|id| self.by_id.get(id)), ids.next()) {
            (Some(fact), None) => Named::One(fact),
            (Some(_), Some(_)) => Named::Several,
            (None, _) => Named::Nothing,
        }
    }
}

/// All digests that begin with these hexadecimal digits.
fn range(prefix: &str) -> Option<(Digest, Digest)> {
    let missing = 64_usize.checked_sub(prefix.len())?;
    let fill = |with: &str| Digest::from_hex(&format!("{prefix}{}", with.repeat(missing)));
    Some((fill("0")?, fill("f")?))
}
