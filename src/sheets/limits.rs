//! Limits: one or two exact bounds and the column they stand in.

use crate::metrology::Exact;

/// A lower bound, an upper bound, or both. Never neither, and never crossed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// At least this.
    pub min: Option<Exact>,
    /// At most this.
    pub max: Option<Exact>,
}

/// Which side of a limit a value lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// Below the lower bound.
    Below,
    /// Above the upper bound.
    Above,
}

/// The column of the sheet a limit stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Column {
    /// A new part, or a feature finished to a size of a series.
    New,
    /// Reuse of a part that has not been machined.
    Service,
    /// A feature that has lost metal for good.
    AfterWork,
}

impl Column {
    /// As printed beside a limit.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Service => "service",
            Self::AfterWork => "after work",
        }
    }
}

impl Limits {
    /// Where the value lies outside, if it does. On a bound is inside.
    #[must_use]
    pub fn outside(&self, value: Exact) -> Option<Side> {
        if self.min.is_some_and(|min| value < min) {
            Some(Side::Below)
        } else if self.max.is_some_and(|max| max < value) {
            Some(Side::Above)
        } else {
            None
        }
    }

    /// Exactly on one of the bounds?
    #[must_use]
    pub fn touches(&self, value: Exact) -> bool {
        self.min == Some(value) || self.max == Some(value)
    }

    /// Both bounds moved by `by`.
    #[must_use]
    pub fn moved(&self, by: Exact) -> Self {
        Self { min: self.min.map(|m| m + by), max: self.max.map(|m| m + by) }
    }

    /// The same of the value with its sign turned: what is clearance becomes interference.
    #[must_use]
    pub fn negated(&self) -> Self {
        Self { min: self.max.map(|m| -m), max: self.min.map(|m| -m) }
    }

    /// These bounds, and the other's where this has none: "where service names one side the new limit holds
    /// on the other".
    #[must_use]
    pub fn completed_by(&self, other: &Self) -> Self {
        Self { min: self.min.or(other.min), max: self.max.or(other.max) }
    }

    /// Distance between the bounds, where there are two.
    #[must_use]
    pub fn width(&self) -> Option<Exact> {
        Some(self.max? - self.min?)
    }
}
