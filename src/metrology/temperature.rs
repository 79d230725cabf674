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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::Length;

    /// checks.md 1.3 (formula of ISO 1 recalled; values computed there with mpmath to 30 digits), tolerance
    /// half a step of our rounding, 0.000005 mm.
    #[test]
    fn matches_the_outside_table() {
        let cases = [
            ("50.000", 11_500, 20_100, 0, 20_000, 49.999_942_500),
            ("100.000", 11_500, 30_000, 0, 20_000, 99.988_501_322),
            ("101.600", 10_800, 29_000, 11_500, 29_000, 101.600_640_018),
            ("86.000", 10_800, 32_000, 11_500, 24_000, 85.992_811_332),
            ("88.900", 21_500, 35_000, 11_500, 21_000, 88.872_361_014),
            ("57.000", 11_700, 14_000, 11_500, 14_000, 57.000_068_405),
            ("92.000", 19_000, 20_000, 11_500, 20_000, 92.0),
        ];
        for (read, part, t_part, gauge, t_gauge, expected) in cases {
            let read = Length::parse(read, Unit::Millimetre).expect("digits").exact();
            let temperatures = Temperatures { part: t_part, gauge: t_gauge };
            let got = at_reference(read, Unit::Millimetre, Expansion(part), Expansion(gauge), temperatures);
            assert!((got.expect("a workshop").to_mm() - expected).abs() < 5.1e-6, "{read:?}");
        }
    }
}
