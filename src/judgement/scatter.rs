//! How deviations of form scatter: what noise makes of a surface that is good.
//!
//! Two questions are asked of a deviation. How likely is the surface truly within its limit (JCGM 106), each taken for
//! itself; and how often would one that is just within it show as much as the worst of all that were looked at. Only what
//! is unlikely by both is called beyond and proven: else the more places are looked at, the more good parts are scrapped.

use crate::metrology::noise::{one_sided_floor, range_floor, tolerated_range_within};
use crate::metrology::normal::phi;
use crate::metrology::oval::{oval_conforms, oval_floor};
use crate::metrology::proof::{form_conforms, zone_conforms, zone_floor, zone_shows};
use std::f64::consts::SQRT_2;

/// What a deviation is of. All lengths are in one unit; `u` is that of one signed difference, or as each says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scatter {
    /// The signed difference of two readings.
    Difference,
    /// A difference of two readings that is out only where it is positive.
    OneSided,
    /// Largest less smallest of so many readings; `u` is of the difference of two of them.
    Range(usize),
    /// An oval through three diameters; `u` is of either of its components.
    Oval,
    /// The narrowest zone that holds so many heights; `u` is of the difference of two of them.
    Zone(usize),
}

impl Scatter {
    /// Probability that what shows as `seen` is truly within the tolerance.
    pub(super) fn conforms(self, seen: f64, tolerance: f64, u: f64) -> f64 {
        match self {
            Self::Difference | Self::Range(_) => form_conforms(seen, tolerance, u),
            Self::OneSided => phi((tolerance - seen) / u),
            Self::Oval => oval_conforms(seen, tolerance, u),
            Self::Zone(points) => zone_conforms(seen, tolerance, u, points),
        }
    }

    /// Probability that what is truly just within the tolerance, in the way that shows most, shows no more than `shown`.
    pub(super) fn shows(self, shown: f64, tolerance: f64, u: f64) -> f64 {
        match self {
            // The density of what is seen about what is true is that of what is true about what is seen.
            Self::Difference => form_conforms(tolerance, shown, u),
            Self::OneSided => phi((shown - tolerance) / u),
            Self::Range(of) if of > 2 => tolerated_range_within(shown, tolerance, u / SQRT_2, of),
            Self::Range(_) => form_conforms(tolerance, shown, u),
            Self::Oval => oval_conforms(tolerance, shown, u),
            Self::Zone(points) => zone_shows(shown, tolerance, u, points),
        }
    }

    /// The 95 percent point of the largest that so many perfect ones show, in units of `u`.
    pub(super) fn floor(self, number: usize) -> f64 {
        match self {
            Self::Difference => range_floor(2, number) / SQRT_2,
            Self::OneSided => one_sided_floor(number),
            Self::Range(of) => range_floor(of, number) / SQRT_2,
            Self::Oval => oval_floor(number),
            Self::Zone(points) => zone_floor(points * number),
        }
    }
}
