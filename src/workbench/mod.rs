//! The owner's workbench: small questions of the trade, answered with formula, steps and source.
//!
//! - [`fits`] gives the limits of an ISO 286 class and the fit of a pair;
//! - [`bolts`] has stress area, proof load, torque from preload and back, stretch;
//! - [`compression`] the compression ratio of each cylinder;
//! - [`film`] the oil film of a bearing at a clearance;
//! - [`convert`] brings an amount from one unit to another, exactly.
//!
//! Each is a function from what was typed ([`Given`]) to an [`Answer`], or to every fault of it at once ([`Faults`]).
//! Amounts are exact fractions of SI units as far as the formula allows; from a root or pi on they are doubles.
//!
//! None of this knows an engine, a sheet or a job, and nothing of it enters a verdict: it is a calculator with its
//! reasons, and the engine's own sheet decides.

mod answer;
pub mod bolts;
pub mod compression;
pub mod convert;
pub mod film;
pub mod fits;
mod given;
mod number;
mod units;

pub use answer::{Answer, Line};
pub use given::{Amount, Fault, Faults, Given, Least};
pub use units::{Quantity, Unit};

/// Said under every answer that somebody may act on.
const SHEET_DECIDES: &str = "The engine's own sheet decides wherever it says otherwise. Local codes, the equipment \
                             maker's instructions and licensed or qualified practice govern.";
