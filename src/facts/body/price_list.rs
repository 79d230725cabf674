//! `price-list`: the shop's own prices.

use crate::facts::body::account::hundredths;
use crate::facts::{Digits, Money};
use serde::Deserialize;

/// The shop's own prices.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PriceList {
    /// Revision, 1 and up.
    pub revision: u32,
    /// The currency of every amount of the shop.
    pub currency: String,
    /// An hour of work.
    pub hour: Money,
    /// Work at a price.
    #[serde(default)]
    pub operations: Vec<PricedWork>,
    /// Parts at a price.
    #[serde(default)]
    pub parts: Vec<PricedPart>,
    /// Hours that a rebuild takes beside the work that has a price.
    #[serde(default)]
    pub labour: Vec<PricedLabour>,
}

/// Hours that a rebuild takes.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PricedLabour {
    /// What is done in them.
    pub what: String,
    /// The scope that came; any where left out.
    #[serde(default)]
    pub scope: Option<String>,
    /// How many, at most two decimals.
    pub hours: Digits,
}

impl PricedLabour {
    /// In hundredths of an hour.
    #[must_use]
    pub fn hundredths(&self) -> i64 {
        hundredths(&self.hours)
    }
}

/// Work at a price.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PricedWork {
    /// What is done.
    pub operation: String,
    /// On which feature; on any where left out.
    #[serde(default)]
    pub feature: Option<String>,
    /// Price of one place.
    pub price: Money,
    /// Price once, however many places.
    #[serde(default)]
    pub once: Option<Money>,
    /// Days until it is done.
    #[serde(default)]
    pub days: Option<u32>,
}

/// A part at a price.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct PricedPart {
    /// Part kind or words.
    pub part: String,
    /// Size as written; any where left out.
    #[serde(default)]
    pub size: Option<String>,
    /// Price of one.
    pub price: Money,
    /// From whom.
    #[serde(default)]
    pub supplier: String,
    /// Days until it is here.
    #[serde(default)]
    pub days: Option<u32>,
}
