//! What each kind of drop says, as it was written: one file a kind.
//!
//! [`Body`] has one variant a kind. The types beneath it are the shapes that the schemas in `schemas/` describe,
//! word for word; a key that a schema does not know is refused there before it is read here. Lengths and sizes
//! are kept as the digits that were typed, beside them their exact value where decoding can work it out.
//!
//! Shapes only: what a name leads to on the sheet, and what an earlier drop makes of it, is asked in `shop`.

mod check_in;
mod decision;
mod gauge;
mod house_rules;
mod measurements;
mod operation;
mod part;
mod people;
mod sign_off;
mod withdrawal;

pub use check_in::{CheckIn, Customer, Engine, Wishes};
pub use decision::{Accept, AgreedWork, Confirm, Decision, Work};
pub use gauge::GaugeBody;
pub use house_rules::{HouseRules, Instrument, Stock};
pub(super) use measurements::thousandths;
pub use measurements::{ConditionWord, CorrectionOf, Measurements, ReadingBody, TemperaturesBody};
pub use operation::{Operation, PlaceRef};
pub use part::{PartBody, PartEvent, PartState, Stamp};
pub use people::{People, Person, Role};
pub use sign_off::{SignOff, Step};
pub use withdrawal::Withdrawal;

use crate::sheets::Sheet;
use std::sync::Arc;

/// The body of a drop, one variant a kind.
#[derive(Clone, Debug)]
pub enum Body {
    /// An engine was received.
    CheckIn(Box<CheckIn>),
    /// Readings.
    Measurements(Box<Measurements>),
    /// A part was replaced, or its stamp was read.
    Part(PartBody),
    /// Work was done.
    Operation(Operation),
    /// A person's word.
    Decision(Decision),
    /// An earlier drop is void.
    Withdrawal(Withdrawal),
    /// A step is signed.
    SignOff(SignOff),
    /// A gauge.
    Gauge(GaugeBody),
    /// A spec sheet, read and checked.
    Sheet(Arc<Sheet>),
    /// The shop's rules for judging.
    HouseRules(Arc<HouseRules>),
    /// Who is who.
    People(Arc<People>),
}

impl Body {
    /// The kind as written in the head.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::CheckIn(_) => "check-in",
            Self::Measurements(_) => "measurements",
            Self::Part(_) => "part",
            Self::Operation(_) => "operation",
            Self::Decision(_) => "decision",
            Self::Withdrawal(_) => "withdrawal",
            Self::SignOff(_) => "sign-off",
            Self::Gauge(_) => "gauge",
            Self::Sheet(_) => "sheet",
            Self::HouseRules(_) => "house-rules",
            Self::People(_) => "people",
        }
    }
}
