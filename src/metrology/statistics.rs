//! Means, spreads and their pooling.
//!
//! Lists of exact values are taken as differences from their first, exactly, before they become doubles: the spread
//! of readings that agree to six digits then keeps all of its own.

use crate::metrology::length::Exact;

/// Differences from the first value, exactly, then to the nearest double: millimetres (of what is no length, in its
/// unit). Each is off by at most one part in 10^15 of itself.
#[must_use]
pub fn from_first(values: &[Exact]) -> Vec<f64> {
    let Some(first) = values.first() else { return Vec::new() };
    values.iter().map(|value| (*value - *first).to_mm()).collect()
}

/// How many, as a double; exact up to 2^53.
#[expect(clippy::cast_precision_loss, reason = "no list is that long")]
#[must_use]
pub(super) fn count(number: usize) -> f64 {
    number as f64
}

/// The arithmetic mean, `None` of nothing: the sum over the number, then mended by the mean of what is left, so
/// that it is off by a few units in the last place.
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let number = count(values.len());
    let rough = values.iter().sum::<f64>() / number;
    Some(rough + values.iter().map(|value| value - rough).sum::<f64>() / number)
}

/// A spread: squared deviations and the degrees of freedom they have.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Spread {
    /// Sum of the squared deviations, the unit of the values squared.
    pub squares: f64,
    /// Degrees of freedom: for `n` values about their own mean, `n - 1`.
    pub freedom: f64,
}

impl Spread {
    /// About the mean of the values; of fewer than two there is none, and no degree of freedom. Two passes: the
    /// one-pass formula (sum of squares less squared sum) loses every digit where the mean is large.
    #[must_use]
    pub fn of(values: &[f64]) -> Self {
        let Some(mean) = mean(values).filter(|_| values.len() > 1) else { return Self::default() };
        let number = count(values.len());
        let left: f64 = values.iter().map(|value| value - mean).sum();
        let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
        Self { squares: (squares - left * left / number).max(0.0), freedom: number - 1.0 }
    }

    /// Several spreads of one gauge as one: squares and degrees of freedom are added (NIST/SEMATECH e-Handbook,
    /// 2.4.4).
    #[must_use]
    pub fn pooled(spreads: &[Self]) -> Self {
        spreads.iter().fold(Self::default(), |sum, spread| Self {
            squares: sum.squares + spread.squares,
            freedom: sum.freedom + spread.freedom,
        })
    }

    /// The standard deviation, in the unit of the values; `None` without a degree of freedom.
    #[must_use]
    pub fn deviation(&self) -> Option<f64> {
        (self.freedom > 0.0).then(|| (self.squares / self.freedom).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::{Length, Unit};

    #[test]
    fn nothing_has_no_mean_and_one_has_no_spread() {
        assert_eq!(mean(&[]), None);
        assert_eq!(Spread::of(&[1.0]).deviation(), None);
        assert_eq!(Spread::pooled(&[]).deviation(), None);
        assert!(from_first(&[]).is_empty());
    }

    /// Readings near 60 mm that differ in the fifth decimal: as plain doubles their differences would carry errors
    /// of 7e-15 mm, here they are those of the differences themselves.
    #[test]
    fn differences_are_taken_before_rounding() {
        let at = |digits| Length::parse(digits, Unit::Millimetre).expect("digits").exact();
        assert_eq!(from_first(&[at("60.00001"), at("60.00002"), at("60.0")]), [0.0, 0.000_01, -0.000_01]);
    }
}
