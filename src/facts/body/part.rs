//! `part`: a part was replaced, or its stamp was read.

use crate::facts::{Digits, SizeWord};
use serde::Deserialize;

/// A part was replaced, or its stamp was read.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PartBody {
    /// The part kind, as typed.
    pub part: String,
    /// Its position, as typed.
    #[serde(default)]
    pub position: Option<Digits>,
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
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// What happened to a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum PartEvent {
    /// Another one takes its place.
    #[serde(rename = "replaced")]
    Replaced,
    /// Its stamp was read.
    #[serde(rename = "stamp read")]
    StampRead,
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
