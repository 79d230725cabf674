//! `part`: what happens to a part, from coming off to going in again.

use crate::facts::words::words;
use crate::facts::{Digits, SizeWord};
use serde::Deserialize;

/// What happened to a part.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PartBody {
    /// The part kind, as typed.
    pub part: String,
    /// Its position, as typed.
    #[serde(default)]
    pub position: Option<Digits>,
    /// Its positions, as typed, where there are several; `all` for every one.
    #[serde(default)]
    pub positions: Vec<Digits>,
    /// What happened.
    pub event: PartEvent,
    /// A replacing part is new or used.
    #[serde(default)]
    pub state: Option<PartState>,
    /// Unit of the stamps.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// What is stamped on it.
    #[serde(default)]
    pub stamps: Vec<Stamp>,
    /// Where it lies now.
    #[serde(default)]
    pub r#where: String,
    /// Which way round it sat.
    #[serde(default)]
    pub way_round: String,
    /// Numbers and marks read on it.
    #[serde(default)]
    pub marks: String,
    /// What is wrong with it.
    #[serde(default)]
    pub trouble: Option<Trouble>,
    /// How it was cleaned.
    #[serde(default)]
    pub method: String,
    /// Why.
    #[serde(default)]
    pub why: String,
}

words! {
    /// What happened to a part.
    PartEvent {
        /// It comes off the engine.
        Off = "off",
        /// It lies elsewhere now.
        Moved = "moved",
        /// It goes into a bath.
        IntoBath = "into bath",
        /// It comes out of it.
        OutOfBath = "out of bath",
        /// It was cleaned.
        Cleaned = "cleaned",
        /// It was fitted.
        Fitted = "fitted",
        /// It was thrown away.
        Scrapped = "scrapped",
        /// It did not come.
        Missing = "missing",
        /// Another one takes its place.
        Replaced = "replaced",
        /// Its stamp was read.
        StampRead = "stamp read",
    }
}

impl PartEvent {
    /// The bolts that hold the part are not tight after it: it was off, or has only just gone in.
    #[must_use]
    pub const fn loosens(self) -> bool {
        match self {
            Self::Off | Self::Fitted | Self::Scrapped | Self::Missing | Self::Replaced => true,
            Self::Moved | Self::IntoBath | Self::OutOfBath | Self::Cleaned | Self::StampRead => false,
        }
    }
}

impl PartBody {
    /// Without a position it is said of all that there are: what usually happens to all at once. What costs a part, or is read
    /// or wrong on one, is said of each.
    #[must_use]
    pub const fn may_mean_all(&self) -> bool {
        let is_usual = match self.event {
            PartEvent::Off | PartEvent::Moved | PartEvent::IntoBath | PartEvent::OutOfBath => true,
            PartEvent::Cleaned | PartEvent::Fitted => true,
            PartEvent::Scrapped | PartEvent::Missing | PartEvent::Replaced | PartEvent::StampRead => false,
        };
        is_usual && self.trouble.is_none()
    }
}

words! {
    /// What is wrong with a part; opens a problem.
    Trouble {
        /// Will not come apart or move.
        Seized = "seized",
        /// In pieces.
        Broken = "broken",
        /// Its thread is gone.
        Stripped = "stripped",
        /// It may not belong here.
        Doubtful = "doubtful",
    }
}

/// New or used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PartState {
    /// Never run.
    New,
    /// Has run.
    Used,
}

/// A size stamped on a part.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Stamp {
    /// The size-class group it is about.
    pub group: String,
    /// The size as stamped.
    #[serde(rename = "size")]
    pub written: String,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub size: Option<SizeWord>,
}
