//! `work-order`: parts go out to be worked on, and come back.

use crate::facts::words::words;
use crate::facts::{Day, Digits, Money, PlaceRef, SizeWord};
use serde::Deserialize;

/// One order, going out or coming back; exactly one of the two.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WorkOrder {
    /// Its number.
    pub order: String,
    /// It goes out.
    #[serde(default)]
    pub out: Option<Box<OrderOut>>,
    /// It comes back.
    #[serde(default)]
    pub back: Option<Box<OrderBack>>,
}

/// A part and how many of it.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Counted {
    /// The part kind, as typed.
    pub part: String,
    /// Its positions, as typed.
    #[serde(default)]
    pub positions: Vec<Digits>,
    /// How many pieces.
    pub count: u32,
}

/// An order that goes out.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct OrderOut {
    /// Who does the work.
    pub to: String,
    /// What is to be done.
    pub operation: String,
    /// Parts that go.
    pub parts: Vec<Counted>,
    /// On which surfaces.
    #[serde(default)]
    pub places: Vec<PlaceRef>,
    /// `in` or `mm`.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// Size class to finish to.
    #[serde(rename = "finished", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub finished: Option<SizeWord>,
    /// Tolerance and clearance asked for.
    #[serde(default)]
    pub tolerance: String,
    /// Finish asked for.
    #[serde(default)]
    pub finish: String,
    /// What must not be touched.
    #[serde(default)]
    pub untouched: String,
    /// What goes with it.
    #[serde(default)]
    pub supplied: Vec<String>,
    /// When it is wanted.
    pub due: Day,
    /// Price agreed.
    #[serde(default)]
    pub price: Option<Money>,
    /// Who carried it.
    #[serde(default)]
    pub carried_by: String,
    /// Names of pictures.
    #[serde(default)]
    pub pictures: Vec<String>,
}

/// An order that comes back.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct OrderBack {
    /// Parts that came.
    pub parts: Vec<Counted>,
    /// Taken or refused.
    pub result: BackResult,
    /// Surfaces that were worked on; those of the order where left out.
    #[serde(default)]
    pub places: Vec<PlaceRef>,
    /// `in` or `mm`.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// Size class it was finished to.
    #[serde(rename = "finished", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub finished: Option<SizeWord>,
    /// Metal taken off, as written.
    #[serde(default)]
    pub removed: Option<Digits>,
    /// A remark.
    #[serde(default)]
    pub note: String,
    /// No magnetism left in it.
    #[serde(default)]
    pub demagnetised: Option<bool>,
}

words! {
    /// What receiving inspection says.
    BackResult {
        /// Good.
        Accepted = "accepted",
        /// Good, with a remark.
        AcceptedWithNote = "accepted with note",
        /// It goes back.
        Refused = "refused",
    }
}
