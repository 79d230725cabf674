//! Digits of a sheet as whole millionths, so that good values are worked out exactly.

use serde_json::Value;

/// `2.2490` as millionths; nothing for what is no number.
pub(super) fn millionths(digits: &str) -> Option<i64> {
    let (sign, bare) = digits.strip_prefix('-').map_or((1, digits), |rest| (-1, rest));
    let (whole, decimals) = bare.split_once('.').unwrap_or((bare, ""));
    if whole.is_empty() {
        return None;
    }
    format!("{whole}{decimals:0<6}").parse::<i64>().ok().map(|value| sign * value)
}

/// Millionths as digits, without idle zeros.
pub(super) fn digits(millionths: i64) -> String {
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths.abs() % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A value well inside limits: the middle, half of the only upper bound, or a little above the only lower one.
pub(super) fn inside(limits: Option<&Value>) -> Option<i64> {
    let side = |side: &str| limits?.get(side)?.as_str().and_then(millionths);
    match (side("min"), side("max")) {
        (Some(min), Some(max)) => Some(i64::midpoint(min, max)),
        (None, Some(max)) => Some(max / 2),
        (Some(min), None) => Some(min + min / 100),
        (None, None) => None,
    }
}
