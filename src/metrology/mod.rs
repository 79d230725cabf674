//! Measuring: exact lengths, how sure they are, and the decision that follows.
//!
//! Lengths are held exactly. [`Length`] is a whole number of tenths of a nanometre, fine enough that every
//! decimal inch to 0.000001, every decimal millimetre to 0.00001, and the halves of both, are whole.
//! [`Exact`] is a fraction of that unit, for means and other results that leave the grid. Comparing either
//! with a limit involves no rounding, so a reading exactly on a limit is on it (promise 4).
//!
//! Probabilities pass through the normal distribution and are floating-point numbers in millimetres with a
//! stated error bound ([`proof::ERROR_BOUND`]); a verdict inside the bound is treated as not proven.
//!
//! What is no length (volumes, loads, weights, pressures, angles) is held the same way on the grid of its own
//! unit ([`Unit`]), and never meets a length.
//!
//! This module knows nothing of engines, sheets or drops. It does not read, write or ask the time.

pub mod budget;
mod decimal;
pub mod form;
pub mod guard;
mod interval;
mod length;
pub mod noise;
pub mod normal;
pub mod oval;
pub mod proof;
pub mod quantiles;
pub mod rectangles;
pub mod repeats;
pub mod risk;
pub mod statistics;
pub mod study;
mod temperature;
mod torque;
mod uncertainty;
mod unit;

pub use decimal::Decimal;
pub use interval::Interval;
pub use length::{DigitsFault, Exact, Length};
pub use temperature::{Expansion, Temperatures, at_reference};
pub use torque::Torque;
pub use uncertainty::Figure;
pub use unit::{Quantity, Unit};
