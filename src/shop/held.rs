//! Held: accepted, but waiting for history to answer.

use crate::facts::Digest;
use std::fmt;

/// A statement, or a part of one, that does nothing yet.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Held {
    /// The statement.
    pub fact: Digest,
    /// Its kind.
    pub kind: &'static str,
    /// Which part of it; empty for the whole.
    pub part: String,
    /// Why.
    pub why: HeldWhy,
}

/// Why something is held, and so what would release it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HeldWhy {
    /// The job has no check-in yet.
    NotCheckedIn,
    /// The sheet the check-in names is not here.
    NoSuchSheet(String),
    /// The house rules have no such revision.
    NoSuchRules(u32),
    /// The sheet has no such scope.
    NoSuchScope {
        /// What was written.
        scope: String,
        /// What the sheet has.
        known: String,
    },
    /// The sheet has no such feature, position, station, direction, part or group.
    NoSuchPlace(String),
    /// The sheet has no such size.
    NoSuchSize(String),
    /// No work order of this number went out.
    NoSuchOrder(String),
    /// The drop it names opened no such problem.
    NoSuchProblem(String),
    /// No gauge of this mark is known.
    NoSuchGauge(String),
    /// Read in a unit of another quantity than the sheet has for the feature.
    WrongUnit {
        /// The feature.
        feature: String,
        /// The unit it was read in.
        unit: &'static str,
        /// The unit the sheet has.
        wanted: &'static str,
    },
    /// "After work", but no work on it was recorded before.
    NothingDoneBefore(String),
    /// A digest that names no drop here.
    NamesNothing(String),
    /// A short digest that more than one drop begins with.
    NamesSeveral(String),
    /// It names a drop of a kind it cannot be about.
    NamesAnotherKind(String),
    /// Two contents under one name; the one recorded first stands.
    Conflict {
        /// What both are.
        what: String,
        /// The one that stands.
        stands: Digest,
    },
}

/// The way out where what is missing was never meant.
const MISTYPED: &str = "or, if it is mistyped, withdraw this drop and drop it again under the right one";

impl fmt::Display for HeldWhy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotCheckedIn => write!(f, "this job is not checked in; drop its check-in, {MISTYPED}"),
            Self::NoSuchSheet(sheet) => write!(f, "the sheet {sheet} is not here; drop it"),
            Self::NoSuchRules(revision) => {
                write!(f, "house rules revision {revision} are not here; drop them")
            }
            Self::NoSuchScope { scope, known } => {
                write!(
                    f,
                    "the sheet has no scope {scope:?}, only {known}; withdraw the check-in and drop a new one"
                )
            }
            Self::NoSuchPlace(place) => {
                write!(
                    f,
                    "the sheet has no {place}; withdraw and drop it again with the right name, or drop a sheet that has it"
                )
            }
            Self::NoSuchSize(size) => {
                write!(f, "the sheet has no size {size} there; check the size, or drop a sheet that has it")
            }
            Self::NoSuchOrder(order) => {
                write!(f, "no work order {order} went out; drop what went out, or mend the number")
            }
            Self::NoSuchProblem(digest) => {
                write!(
                    f,
                    "it closes a problem of {digest}, which opened no such problem; see the job page for its drop and item"
                )
            }
            Self::NoSuchGauge(gauge) => {
                write!(f, "no gauge {gauge} is known; drop a gauge file for it, {MISTYPED}")
            }
            Self::WrongUnit { feature, unit, wanted } => {
                write!(
                    f,
                    "{feature} is measured in {wanted}, this is in {unit}; withdraw it and drop it again in {wanted}"
                )
            }
            Self::NothingDoneBefore(place) => {
                write!(
                    f,
                    "it says after work, but no work on {place} was recorded before it; drop the operation"
                )
            }
            Self::NamesNothing(digest) => write!(f, "it names {digest}, which is not here yet"),
            Self::NamesSeveral(digest) => {
                write!(f, "more than one drop begins with {digest}; name it by more digits")
            }
            Self::NamesAnotherKind(digest) => write!(f, "it names {digest}, which is a drop of another kind"),
            Self::Conflict { what, stands } => {
                write!(
                    f,
                    "{what} is already said by {}, recorded earlier; withdraw one of the two",
                    stands.short()
                )
            }
        }
    }
}
