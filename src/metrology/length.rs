//! Exact values: the digits that were written, in one unit, with no rounding.
//!
//! Most are lengths, hence the names; volumes, loads, weights, pressures and angles stand on grids of their own
//! ([`Unit`]) and are compared and averaged in the same way.

use crate::metrology::unit::{GRID, Unit};
use num_rational::Ratio;
use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Mul, Neg, Sub};

/// Digits before the decimal point that a reading may have; far more than any engine part.
const MOST_WHOLE_DIGITS: usize = 5;

/// Why some digits are not a length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DigitsFault {
    /// Not digits with at most one decimal point and a leading sign.
    NotANumber,
    /// More decimals than the unit allows.
    TooFine,
    /// More than five digits before the decimal point.
    TooLarge,
}

/// An exact length on the 0.1 nm grid, or a value on the grid of its unit.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);

    /// Reads digits such as `2.2488`, `-0.0003` or `+0.5` in this unit.
    ///
    /// # Errors
    /// [`DigitsFault`] when they are no decimal number, too fine for the grid, or too large.
    pub fn parse(digits: &str, unit: Unit) -> Result<Self, DigitsFault> {
        let (negative, bare) = match digits.as_bytes().first() {
            Some(b'-') => (true, digits.get(1..).unwrap_or("")),
            Some(b'+') => (false, digits.get(1..).unwrap_or("")),
            _ => (false, digits),
        };
        let (whole, decimals) = bare.split_once('.').unwrap_or((bare, "0"));
        let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
        if !all_digits(whole) || !all_digits(decimals) {
            return Err(DigitsFault::NotANumber);
        }
        if decimals.len() > unit.most_decimals() as usize {
            return Err(DigitsFault::TooFine);
        }
        if whole.trim_start_matches('0').len() > MOST_WHOLE_DIGITS {
            return Err(DigitsFault::TooLarge);
        }
        let places = u32::try_from(decimals.len()).map_err(|_| DigitsFault::TooFine)?;
        let whole: i64 = whole.parse().map_err(|_| DigitsFault::TooLarge)?;
        let decimals: i64 = decimals.parse().map_err(|_| DigitsFault::TooFine)?;
        // The grid is a multiple of 10^most_decimals, so the division is exact.
        let units = whole * unit.grid() + decimals * (unit.grid() / 10_i64.pow(places));
        Ok(Self(if negative { -units } else { units }))
    }

    /// Half of it, exactly.
    #[must_use]
    pub fn half(self) -> Exact {
        Exact(Ratio::new(i128::from(self.0), 2))
    }

    /// As a fraction of the grid unit.
    #[must_use]
    pub fn exact(self) -> Exact {
        Exact(Ratio::from_integer(i128::from(self.0)))
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.exact().show(Unit::Millimetre))
    }
}

/// An exact result: a fraction of the 0.1 nm grid unit.
///
/// Denominators come from means of at most 99 repeats and halves, and values from readings of at most five
/// whole digits, so products in comparisons stay far below the range of `i128`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Exact(Ratio<i128>);

impl Exact {
    /// No length.
    pub const ZERO: Self = Self(Ratio::new_raw(0, 1));

    /// The exact arithmetic mean; `None` of nothing.
    #[must_use]
    pub fn mean(lengths: &[Self]) -> Option<Self> {
        let count = i128::try_from(lengths.len()).ok().filter(|n| *n > 0)?;
        // Readings are whole units; only values at 20 degrees and means of means are fractions.
        if lengths.iter().all(|length| length.0.is_integer()) {
            let sum = lengths.iter().map(|length| length.0.numer()).sum::<i128>();
            return Some(Self(Ratio::new(sum, count)));
        }
        let sum = lengths.iter().fold(Ratio::from_integer(0), |sum, length| sum + length.0);
        Some(Self(sum / count))
    }

    /// Its grid units, where it is whole ones, as readings and limits are: these need no fraction brought to its lowest
    /// terms, which was a sixth of judging an engine.
    fn whole(self) -> Option<i128> {
        self.0.is_integer().then(|| *self.0.numer())
    }

    /// Without its sign.
    #[must_use]
    pub fn abs(self) -> Self {
        if self.is_negative() { -self } else { self }
    }

    /// Below zero?
    #[must_use]
    pub fn is_negative(self) -> bool {
        self.0.cmp(&Ratio::from_integer(0)) == Ordering::Less
    }

    /// In millimetres, or in its own unit where it is no length, rounded to the nearest double; for probabilities and drawings, never for a band.
    #[must_use]
    pub fn to_mm(self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "the nearest double is what is asked for")]
        let (numer, denom) = (*self.0.numer() as f64, *self.0.denom() as f64);
        numer / (denom * GRID as f64)
    }

    /// Decimal digits in this unit without its symbol: the usual decimals, more where the value needs them,
    /// rounded half away from zero at the finest decimal the unit allows.
    #[must_use]
    pub fn show(self, unit: Unit) -> String {
        let finest = unit.most_decimals();
        let scaled = self.0 * Ratio::new(10_i128.pow(finest), i128::from(unit.grid()));
        let mut digits = scaled.round().to_integer();
        let mut places = finest;
        while places > unit.usual_decimals() && digits % 10 == 0 {
            digits /= 10;
            places -= 1;
        }
        let sign = if digits < 0 { "-" } else { "" };
        let base = 10_i128.pow(places);
        let (whole, rest) = (digits.abs() / base, digits.abs() % base);
        if places == 0 {
            return format!("{sign}{whole}");
        }
        format!("{sign}{whole}.{rest:0width$}", width = places as usize)
    }

    /// Rounded to the nearest step of the finest decimal of this unit, halves away from zero.
    #[must_use]
    pub fn rounded(self, unit: Unit) -> Self {
        let step = i128::from(unit.grid()) / 10_i128.pow(unit.most_decimals());
        Self((self.0 / step).round() * step)
    }

    /// The next multiple of a step that is not below it.
    #[must_use]
    pub fn up_to(self, step: Self) -> Self {
        if step == Self::ZERO { self } else { Self((self.0 / step.0).ceil() * step.0) }
    }

    /// Thousandths of the grid unit, rounded: whole numbers for a search that needs them. Two that differ by less are one.
    #[must_use]
    pub fn thousandths(self) -> i128 {
        (self.0 * 1000).round().to_integer()
    }

    /// The fraction `numer / denom` of it; `denom` must not be zero.
    #[must_use]
    pub fn part(self, numer: i128, denom: i128) -> Self {
        match self.whole() {
            Some(units) => Self(Ratio::new(units * numer, denom)),
            None => Self(self.0 * Ratio::new(numer, denom)),
        }
    }

    /// How many of `unit` of `other` it is to one of it: newtons per millimetre of a load and a length. `None` over nought.
    #[must_use]
    pub fn per(self, other: Self, unit: Unit) -> Option<Self> {
        let whole = i128::from(unit.grid());
        (other != Self::ZERO).then(|| Self(self.0 / other.0 * whole))
    }

    /// How many times `other` it is, a number to one. `None` over nought.
    #[must_use]
    pub fn over(self, other: Self) -> Option<Self> {
        self.per(other, Unit::ToOne)
    }

    /// The root of `times.0 / times.1` of the sum of these squared, rounded once to the nearest grid unit.
    #[must_use]
    pub(super) fn root_of_squares(terms: &[Self], times: (i128, i128)) -> Self {
        let sum = terms.iter().fold(Ratio::from_integer(0), |sum, term| sum + term.0 * term.0);
        let square = sum * Ratio::new(times.0, times.1);
        // The nearest whole root r has (2 r - 1)^2 <= 4 x < (2 r + 1)^2.
        let four = (square * 4).floor().to_integer();
        Self(Ratio::from_integer((four.isqrt() + 1) / 2))
    }

    /// The grid unit nearest to so many millimetres (of what is no length, to so much in its unit): for what a fit
    /// gives, which is no fraction of its readings that anybody would write. Nought of what is no number.
    #[must_use]
    pub fn nearest(mm: f64) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "saturates far beyond any engine part")]
        #[expect(clippy::cast_precision_loss, reason = "ten million is a double")]
        let units = (mm * GRID as f64).round() as i64;
        Self(Ratio::from_integer(i128::from(units)))
    }

    /// So many times it, exactly; `number` counts as a plain number, whatever it was written in.
    #[must_use]
    pub fn times(self, number: Self) -> Self {
        Self(self.0 * number.0 / i128::from(GRID))
    }

    /// The reduced fraction of the grid unit, as text for digests: `numerator/denominator`.
    #[must_use]
    pub fn canonical(self) -> String {
        format!("{}/{}", self.0.numer(), self.0.denom())
    }
}

impl fmt::Debug for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.show(Unit::Millimetre))
    }
}

impl From<Length> for Exact {
    fn from(length: Length) -> Self {
        length.exact()
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Add for Exact {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        match self.whole().zip(other.whole()) {
            Some((one, more)) => Self(Ratio::from_integer(one + more)),
            None => Self(self.0 + other.0),
        }
    }
}

impl Sub for Exact {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        match self.whole().zip(other.whole()) {
            Some((from, less)) => Self(Ratio::from_integer(from - less)),
            None => Self(self.0 - other.0),
        }
    }
}

impl Neg for Exact {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i32> for Exact {
    type Output = Self;
    fn mul(self, factor: i32) -> Self {
        match self.whole() {
            Some(units) => Self(Ratio::from_integer(units * i128::from(factor))),
            None => Self(self.0 * i128::from(factor)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn inch(digits: &str) -> Length {
        Length::parse(digits, Unit::Inch).expect("digits")
    }

    fn mm(digits: &str) -> Length {
        Length::parse(digits, Unit::Millimetre).expect("digits")
    }

    /// 1 in = 25.4 mm exactly; pairs from trade tables of decimal inches.
    #[test]
    fn inch_and_millimetre_meet_exactly() {
        assert_eq!(inch("1"), mm("25.4"));
        assert_eq!(inch("0.5"), mm("12.7"));
        assert_eq!(inch("0.0001"), mm("0.00254"));
        assert_ne!(inch("0.020"), mm("0.50"), "0.50 mm is not 0.020 in");
    }

    #[test]
    fn refuses_what_is_no_length() {
        for junk in ["", "-", ".5", "2.", "1e3", "2,25", "OK", "1 5/8", "+-1", "٣"] {
            assert_eq!(Length::parse(junk, Unit::Inch), Err(DigitsFault::NotANumber), "{junk}");
        }
        assert_eq!(Length::parse("0.1234567", Unit::Inch), Err(DigitsFault::TooFine));
        assert_eq!(Length::parse("0.123456", Unit::Millimetre), Err(DigitsFault::TooFine));
        assert_eq!(Length::parse("123456", Unit::Inch), Err(DigitsFault::TooLarge));
    }

    #[test]
    fn means_and_halves_stay_exact() {
        let third = Exact::mean(&[inch("0.0001").exact(), Exact::ZERO, Exact::ZERO]).expect("three");
        assert_eq!(third + third + third, inch("0.0001").exact());
        assert_eq!(inch("0.000001").half() + inch("0.000001").half(), inch("0.000001").exact());
        assert_eq!(Exact::mean(&[]), None);
    }

    /// 34 lbf over 0.400 in are 85 lbf/in; 0.462 in over 0.300 in is 1.54 to 1, whatever unit both are in.
    #[test]
    fn quotients_are_exact() {
        let load = Length::parse("34", Unit::PoundForce).expect("digits").exact();
        let rate = load.per(inch("0.400").exact(), Unit::Inch).expect("not nought");
        assert_eq!(rate, Length::parse("85", Unit::PoundForcePerInch).expect("digits").exact());
        let ratio = inch("0.462").exact().over(inch("0.300").exact()).expect("not nought");
        assert_eq!(ratio.show(Unit::ToOne), "1.54");
        assert_eq!(
            mm("1").exact().over(mm("3").exact()).map(|third| third * 3),
            mm("1").exact().over(mm("1").exact())
        );
        assert_eq!(load.over(Exact::ZERO), None);
    }

    #[test]
    fn shows_as_the_trade_writes() {
        assert_eq!(inch("2.24880").exact().show(Unit::Inch), "2.2488");
        assert_eq!(inch("2.24885").exact().show(Unit::Inch), "2.24885");
        assert_eq!(inch("-0.0003").exact().show(Unit::Inch), "-0.0003");
        assert_eq!(inch("2.2488").exact().show(Unit::Millimetre), "57.11952");
    }

    proptest! {
        /// Every decimal inch to six places comes back digit for digit, and so do millimetres to five.
        #[test]
        fn digits_survive(whole in 0_u32..99_999, part in 0_u32..1_000_000) {
            let written = format!("{whole}.{part:06}");
            let shown = inch(&written).exact().show(Unit::Inch);
            prop_assert_eq!(inch(&shown), inch(&written));
            let metric = format!("{whole}.{:05}", part / 10);
            let shown = mm(&metric).exact().show(Unit::Millimetre);
            prop_assert_eq!(mm(&shown), mm(&metric));
        }

        /// Order agrees with integers of millionths: the obvious second way.
        #[test]
        fn order_is_exact(a in 0_i64..9_000_000_000, b in 0_i64..9_000_000_000) {
            let text = |n: i64| format!("{}.{:06}", n / 1_000_000, n % 1_000_000);
            prop_assert_eq!(inch(&text(a)).cmp(&inch(&text(b))), a.cmp(&b));
        }
    }
}
