//! Facts: the words of the file drop, one type per kind, their names and their faults.
//!
//! A drop is one file, one job or the shop, one JSON document: a small head and a body; a table is such a document
//! as a spreadsheet writes it. [`decode`] takes the bytes and gives a [`Fact`] or every fault at once. It parses
//! strictly (no repeated key, bounded depth and size), validates against the schema of the kind, and reads the
//! digits as they were written.
//!
//! A fact has two names. The digest of its *bytes* is what `sha256sum` prints and what makes the same file
//! dropped twice a copy. The digest of its *content* is the statement: two drops that say the same with other
//! spacing are one statement. Facts are ordered by recorded time, ties by content digest, never by arrival.
//!
//! Decoding looks at the drop alone. Whatever needs history (is the job checked in? does the sheet have this
//! place?) is not asked here: such a drop is accepted and held further down.

mod body;
mod complete;
mod day;
mod decode;
mod digest;
mod digits;
mod evidence;
mod head;
mod job_key;
mod json;
mod money;
mod picture;
mod schema;
mod size_word;
mod slip;
mod table;
mod words;

pub use body::{
    Accept, Account, AgreedWork, Amount, Apart, Approval, AsFound, Assembly, Authority, BackResult, Blades,
    Body, BoltState, Calibration, CheckIn, CheckMade, CheckResult, Closes, ConditionWord, Confirm,
    CorrectionOf, Counted, Customer, Decision, Defect, Disposition, DispositionWord, Embedded, Engine,
    Estimate, EstimateLine, Finding, Fitted, GaugeBody, HalfSteps, Hardware, Hours, HouseRules, Instrument,
    Measurements, NeverFor, OldParts, Operation, OrderBack, OrderOut, PartBody, PartEvent, PartRef,
    PartState, People, Person, PieceState, PieceTrouble, Pieces, PlaceRef, PriceList, PricedLabour,
    PricedPart, PricedWork, ReadingBody, RevisionChange, Role, SaidHow, ScoreBody, Seen, SignOff, Stamp,
    Step, Stock, Supply, SupplyState, TemperatureRules, TemperaturesBody, Test, TestKind, TestResult,
    ToCustomers, Torque, Trouble, Try, Waiver, Wishes, Withdrawal, Work, WorkOrder, WrenchRange, ZeroAllowed,
    ZeroCheck,
};
pub use day::Day;
pub use decode::{Refusal, decode, decode_kept, picture_in};
pub use digest::Digest;
pub use digits::Digits;
pub use evidence::{Checked, Code, Evidence};
pub use head::{Head, Recorded};
pub use job_key::JobKey;
pub use json::Unreadable;
pub use money::Money;
pub use picture::{MOST_BYTES, Media, Picture, media_of, size_of};
pub use schema::{KINDS, example, schema_text};
pub use size_word::{SizeWord, show_step};
pub use slip::{faults_of, first_fault, slip, slip_of};
pub use table::{SheetList, TableSheet, empty_sheet, write_sheet};

pub use crate::sheets::{Fault, Faults};

use crate::metrology::Unit;

/// One accepted statement.
#[derive(Clone, Debug)]
pub struct Fact {
    /// Digest of its decoded content: the statement's name.
    pub id: Digest,
    /// Digest of the bytes it came in.
    pub bytes: Digest,
    /// The job it is about; `None` for the shop.
    pub job: Option<JobKey>,
    /// Who, when, with what.
    pub head: Head,
    /// What it says.
    pub body: Body,
}

impl Fact {
    /// Recorded time, ties by content: the only order among facts.
    #[must_use]
    pub fn order(&self) -> (jiff::Timestamp, Digest) {
        (self.head.recorded.instant(), self.id)
    }
}

/// Reads a unit symbol that the schema has already checked.
pub(crate) fn unit_of(symbol: &str) -> Unit {
    Unit::from_symbol(symbol).unwrap_or(Unit::Millimetre)
}
