//! Bringing a length to the reference temperature of 20 degrees Celsius (ISO 1, recalled).

use crate::metrology::length::Exact;
use crate::metrology::unit::Unit;

/// Linear expansion in thousandths of a ppm per kelvin: 11.5 ppm/K is 11500. Whole, so that results are exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Expansion(pub i64);

/// Temperatures of part and gauge in thousandths of a degree Celsius.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Temperatures {
    /// Of the part.
    pub part: i64,
    /// Of the gauge, or of the standard when the gauge was set.
    pub gauge: i64,
}

/// 20 degrees Celsius in thousandths.
const REFERENCE: i64 = 20_000;

/// `1 + alpha (t - 20)` times 10^12, exactly.
fn stretch(expansion: Expansion, temperature: i64) -> i128 {
    1_000_000_000_000 + i128::from(expansion.0) * i128::from(temperature - REFERENCE)
}

/// The length at 20 degrees: `L (1 + a_g (T_g - 20)) / (1 + a_w (T_w - 20))`, exact form, then rounded once
/// to the finest decimal of `unit`. Valid for temperatures and coefficients of a workshop (the divisor is
/// then near 1); `None` where it would not be positive.
#[must_use]
pub fn at_reference(
    read: Exact,
    unit: Unit,
    part: Expansion,
    gauge: Expansion,
    temperatures: Temperatures,
) -> Option<Exact> {
    let (numer, denom) = (stretch(gauge, temperatures.gauge), stretch(part, temperatures.part));
    (numer > 0 && denom > 0).then(|| read.part(numer, denom).rounded(unit))
}
