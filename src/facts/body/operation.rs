//! `operation`: work done in the house, and the surfaces it was done on.

use crate::facts::{Digits, SizeWord};
use serde::Deserialize;

/// Names a surface: a feature and positions of it.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PlaceRef {
    /// The feature, as typed.
    pub feature: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
}

/// Names a part and positions of it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PartRef {
    /// The part kind, as typed.
    pub part: String,
    /// Its positions, as typed; every one where left out.
    #[serde(default)]
    pub positions: Vec<Digits>,
}

/// Work done in the house.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Operation {
    /// What was done.
    pub operation: String,
    /// On which surfaces.
    #[serde(default)]
    pub places: Vec<PlaceRef>,
    /// On which parts, where it is not a surface of the sheet; at least one of places and parts.
    #[serde(default)]
    pub parts: Vec<PartRef>,
    /// `in` or `mm`.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// Size class it was finished to; absent for work that leaves the size class.
    #[serde(rename = "finished", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub finished: Option<SizeWord>,
    /// Size before, as written.
    #[serde(default)]
    pub before: Option<Digits>,
    /// Size after, as written.
    #[serde(default)]
    pub after: Option<Digits>,
    /// Metal taken off, as written.
    #[serde(default)]
    pub removed: Option<Digits>,
    /// Machine, tool, stone.
    #[serde(default)]
    pub with: String,
    /// A remark.
    #[serde(default)]
    pub note: String,
}
