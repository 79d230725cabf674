//! Figures as people read them: exact decimals where there are any, rounded ones that say so by their length.

use num_rational::Ratio;

/// Decimals up to which an exact decimal is printed whole.
const WHOLE_UP_TO: u32 = 18;

/// Ten to the power of this; powers are small.
fn ten(power: u32) -> i128 {
    10_i128.pow(power)
}

/// The exact decimal of a fraction; `None` where it has no end or more than eighteen decimals.
#[must_use]
pub(super) fn exact(value: Ratio<i128>) -> Option<String> {
    let (mut rest, mut decimals) = (*value.denom(), 0);
    while rest % 10 == 0 {
        rest /= 10;
        decimals += 1;
    }
    for prime in [2, 5] {
        while rest % prime == 0 {
            rest /= prime;
            decimals += 1;
        }
    }
    (rest == 1 && decimals <= WHOLE_UP_TO).then(|| trimmed(rounded(value, decimals)))
}

/// The exact decimal of a fraction, or the fraction where it has none.
#[must_use]
pub(super) fn digits(value: Ratio<i128>) -> String {
    exact(value).unwrap_or_else(|| value.to_string())
}

/// A fraction to this many decimals, halves away from zero.
#[must_use]
pub(super) fn rounded(value: Ratio<i128>, decimals: u32) -> String {
    // Whole and broken part apart, so that large values stay in range.
    let whole = value.trunc();
    let part = ((value - whole) * ten(decimals)).round().to_integer();
    let (whole, part) = (whole.to_integer() + part / ten(decimals), part % ten(decimals));
    let sign = if whole < 0 || part < 0 { "-" } else { "" };
    let (whole, part) = (whole.abs(), part.abs());
    if decimals == 0 {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{part:0width$}", width = decimals as usize)
    }
}

fn trimmed(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A computed figure to this many significant digits, without exponent.
#[must_use]
pub(super) fn figure(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    #[expect(clippy::cast_possible_truncation, reason = "the power of ten of a double is small")]
    let power = value.abs().log10().floor() as i32;
    let decimals = usize::try_from(digits - 1 - power).unwrap_or(0);
    format!("{value:.decimals$}")
}

/// The same without the zeros at its end: a figure that was typed.
#[must_use]
pub(super) fn short(value: f64, digits: i32) -> String {
    trimmed(figure(value, digits))
}

/// The nearest double of a fraction.
#[must_use]
pub(super) fn double(value: Ratio<i128>) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "the nearest double is what is asked for")]
    let (numer, denom) = (*value.numer() as f64, *value.denom() as f64);
    numer / denom
}
