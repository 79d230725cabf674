//! What each kind of drop says, as it was written: one file a kind.
//!
//! [`Body`] has one variant a kind. The types beneath it are the shapes that the schemas in `schemas/` describe,
//! word for word; a key that a schema does not know is refused there before it is read here. Lengths and sizes
//! are kept as the digits that were typed, beside them their exact value where decoding can work it out.
//!
//! Shapes only: what a name leads to on the sheet, and what an earlier drop makes of it, is asked in `shop`.

mod account;
mod assembly;
mod check_in;
mod decision;
mod finding;
mod gauge;
mod hardware;
mod house_rules;
mod measurements;
mod operation;
mod part;
mod people;
mod price_list;
mod sign_off;
mod supply;
mod withdrawal;
mod work_order;

pub use account::{Account, Amount, Estimate, EstimateLine, Hours};
pub use assembly::{Assembly, CheckMade, CheckResult, Fitted, Torque};
pub use check_in::{CheckIn, Customer, Engine, Wishes};
pub use decision::{
    Accept, AgreedWork, Apart, Approval, Authority, Confirm, Decision, Disposition, HalfSteps,
    RevisionChange, SaidHow, Waiver, Work,
};
pub use finding::{
    Closes, Defect, DispositionWord, Embedded, Finding, ScoreBody, Seen, Test, TestKind, TestResult, Try,
};
pub use gauge::{AsFound, Calibration, GaugeBody, WrenchRange, ZeroCheck};
pub use hardware::{Hardware, PieceState, PieceTrouble, Pieces};
pub use house_rules::{HouseRules, Instrument, NeverFor, Stock, TemperatureRules, ToCustomers, ZeroAllowed};
pub(super) use measurements::thousandths;
pub use measurements::{
    Blades, BoltState, ConditionWord, CorrectionOf, Measurements, ReadingBody, TemperaturesBody,
};
pub use operation::{Operation, PartRef, PlaceRef};
pub use part::{PartBody, PartEvent, PartState, Stamp, Trouble};
pub use people::{People, Person, Role};
pub use price_list::{PriceList, PricedLabour, PricedPart, PricedWork};
pub use sign_off::{OldParts, SignOff, Step};
pub use supply::{Supply, SupplyState};
pub use withdrawal::Withdrawal;
pub use work_order::{BackResult, Counted, OrderBack, OrderOut, WorkOrder};

use crate::sheets::Sheet;
use std::sync::Arc;

/// The body of a drop, one variant a kind.
#[derive(Clone, Debug)]
pub enum Body {
    /// An engine was received.
    CheckIn(Box<CheckIn>),
    /// Readings.
    Measurements(Box<Measurements>),
    /// What happened to a part.
    Part(Box<PartBody>),
    /// What was seen on parts.
    Finding(Finding),
    /// A bag of fasteners, counted.
    Hardware(Hardware),
    /// Work was done.
    Operation(Operation),
    /// Parts go out to be worked on, or come back.
    WorkOrder(WorkOrder),
    /// A part that can be had, is ordered, or is here.
    Supply(Box<Supply>),
    /// Going together.
    Assembly(Assembly),
    /// A person's word.
    Decision(Decision),
    /// An earlier drop is void.
    Withdrawal(Withdrawal),
    /// Money and hours.
    Account(Account),
    /// A step is signed.
    SignOff(SignOff),
    /// A gauge.
    Gauge(Box<GaugeBody>),
    /// A spec sheet, read and checked.
    Sheet(Arc<Sheet>),
    /// The shop's rules for judging.
    HouseRules(Arc<HouseRules>),
    /// Who is who.
    People(Arc<People>),
    /// The shop's own prices.
    PriceList(Arc<PriceList>),
}

impl Body {
    /// The kind as written in the head.
    #[must_use]
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::CheckIn(_) => "check-in",
            Self::Measurements(_) => "measurements",
            Self::Part(_) => "part",
            Self::Finding(_) => "finding",
            Self::Hardware(_) => "hardware",
            Self::Operation(_) => "operation",
            Self::WorkOrder(_) => "work-order",
            Self::Supply(_) => "supply",
            Self::Assembly(_) => "assembly",
            Self::Decision(_) => "decision",
            Self::Withdrawal(_) => "withdrawal",
            Self::Account(_) => "account",
            Self::SignOff(_) => "sign-off",
            Self::Gauge(_) => "gauge",
            Self::Sheet(_) => "sheet",
            Self::HouseRules(_) => "house-rules",
            Self::People(_) => "people",
            Self::PriceList(_) => "price-list",
        }
    }
}
