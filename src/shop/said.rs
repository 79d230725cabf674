//! Who said something, and when.

use crate::facts::{Digest, Fact};
use jiff::Timestamp;

/// Who said something, when, in which drop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// The statement.
    pub fact: Digest,
    /// Who.
    pub who: String,
    /// When it was recorded, as written.
    pub written: String,
    /// When it was recorded.
    pub at: Timestamp,
}

impl Said {
    pub(super) fn by(fact: &Fact) -> Self {
        Self {
            fact: fact.id,
            who: fact.head.who.clone(),
            written: fact.head.recorded.short(),
            at: fact.head.recorded.instant(),
        }
    }

    /// `LM, 2026-03-02 09:15`.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, {}", self.who, self.written)
    }
}
