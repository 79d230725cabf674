//! Who said something, and when.

use crate::facts::{Day, Digest, Fact};
use jiff::civil::Date;
use jiff::tz::Offset;
use jiff::{Timestamp, ToSpan as _};

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
    /// How far clocks were from UTC where it was recorded.
    pub offset: Offset,
}

impl Said {
    pub(super) fn by(fact: &Fact) -> Self {
        Self {
            fact: fact.id,
            who: fact.head.who.to_string(),
            written: fact.head.recorded.short(),
            at: fact.head.recorded.instant(),
            offset: fact.head.recorded.offset(),
        }
    }

    /// Its place among all that was said.
    #[must_use]
    pub const fn order(&self) -> (Timestamp, Digest) {
        (self.at, self.fact)
    }

    /// Midnight after this day, by the clocks of where it was said; `None` at the end of all calendars.
    #[must_use]
    pub fn end_of(&self, day: Day) -> Option<Timestamp> {
        let next = day.0.checked_add(1.day()).ok()?;
        self.offset.to_timestamp(next.at(0, 0, 0, 0)).ok()
    }

    /// Is a moment past this day, by the clocks of where the day was named?
    #[must_use]
    pub fn is_past(&self, day: Day, at: Timestamp) -> bool {
        self.end_of(day).is_some_and(|end| at >= end)
    }

    /// The day, by the clocks of where it was said.
    #[must_use]
    pub fn day(&self) -> Date {
        self.offset.to_datetime(self.at).date()
    }

    /// `LM, 2026-03-02 09:15`.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, {}", self.who, self.written)
    }
}
