//! Studies of a gauge: the same parts, measured by several people several times.
//!
//! What comes out is how a gauge repeats in one hand, how hands differ, whether they differ from part to part, and
//! how much the parts themselves differ. Two ways: *analysis of variance* ([`anova`]), which tells all four apart,
//! and *average and range* ([`ranges`]), which a person can follow with a pencil and which cannot tell the third.
//! Formulas of the AIAG reference manual on measurement systems (4th edition, recalled), the factors computed.
//!
//! Both take a plain table of readings, part by person by trial, in any order, and want it balanced: each person
//! measures each part equally often. What a study cannot say (how people differ, of a study by one) is `None`, never
//! zero.
//!
//! This folder does not know gauges, drops or limits, and does not decide which study counts.

mod anova;
mod fault;
mod ranges;
mod table;

pub use anova::{Anova, FTest, POOL_ABOVE, anova};
pub use fault::StudyFault;
pub use ranges::{Ranges, average_factor, range_factor, ranges};
pub use table::{Reading, Table};

/// Standard deviations that a study finds, millimetres (or the unit of the readings).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spreads {
    /// One reading after another by the same hand on the same part.
    pub repeat: f64,
    /// Between people; `None` where one person measured.
    pub people: Option<f64>,
    /// Between people from part to part, over what the two explain; `None` where that was taken for repeat or not
    /// asked.
    pub person_by_part: Option<f64>,
    /// Between parts; `None` of one part.
    pub parts: Option<f64>,
}

impl Spreads {
    /// All that the gauge and the hands add to a reading.
    #[must_use]
    pub fn gauge(&self) -> f64 {
        self.repeat.hypot(self.people.unwrap_or(0.0)).hypot(self.person_by_part.unwrap_or(0.0))
    }

    /// All that is seen, parts included.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.gauge().hypot(self.parts.unwrap_or(0.0))
    }

    /// How many sizes the gauge can tell apart over these parts: 1.41 times their spread over the gauge's, cut to a
    /// whole number. `None` of one part, or of a gauge that shows no spread.
    #[must_use]
    pub fn distinct_sizes(&self) -> Option<f64> {
        self.parts.filter(|_| self.gauge() > 0.0).map(|parts| (1.41 * parts / self.gauge()).floor())
    }
}

/// A person's mean less that of all, millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Bias {
    /// Who.
    pub person: String,
    /// Reads larger (positive) or smaller than all together.
    pub by: f64,
}
