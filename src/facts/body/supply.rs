//! `supply`: a part that can be had, is ordered, or is here.

use crate::facts::words::words;
use crate::facts::{Day, Money, SizeWord};
use serde::Deserialize;

/// How one item stands. Of an item and size the latest recorded stands.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Supply {
    /// A part kind of the sheet, or any words.
    pub item: String,
    /// Unit of the sizes.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// Size class asked for.
    #[serde(rename = "size", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub size: Option<SizeWord>,
    /// How many pieces.
    pub count: u32,
    /// How it stands.
    pub state: SupplyState,
    /// From whom.
    #[serde(default)]
    pub supplier: String,
    /// Price of all of them.
    #[serde(default)]
    pub price: Option<Money>,
    /// When it is expected.
    #[serde(default)]
    pub due: Option<Day>,
    /// Size stamped on what came.
    #[serde(rename = "stamped", default)]
    pub stamped_written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub stamped: Option<SizeWord>,
    /// Why.
    #[serde(default)]
    pub why: String,
}

words! {
    /// How an item stands.
    SupplyState {
        /// It can be had.
        Available = "available",
        /// It cannot be had.
        NotAvailable = "not available",
        /// Ordered.
        Ordered = "ordered",
        /// Ordered, and the supplier has none now.
        BackOrdered = "back-ordered",
        /// Ordered, and past its day.
        Late = "late",
        /// Here.
        Received = "received",
        /// Here, and not what was ordered.
        Wrong = "wrong",
        /// Sent back.
        Returned = "returned",
    }
}
