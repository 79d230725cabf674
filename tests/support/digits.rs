//! Digits of a sheet and of readings as whole millionths, so that a generator computes exactly and apart from the house.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use serde_json::Value;

/// `2.2490` as millionths.
pub fn millionths(digits: &str) -> i64 {
    let (minus, bare) = digits.strip_prefix('-').map_or((1, digits), |rest| (-1, rest));
    let (whole, decimals) = bare.split_once('.').unwrap_or((bare, ""));
    minus * format!("{whole}{decimals:0<6}").parse::<i64>().unwrap()
}

/// Millionths as digits, without idle zeros.
pub fn digits(millionths: i64) -> String {
    let text = format!("{}.{:06}", millionths / 1_000_000, millionths.abs() % 1_000_000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// One side of limits as millionths.
pub fn bound(limits: &Value, side: &str) -> Option<i64> {
    limits[side].as_str().map(millionths)
}

/// A value well inside limits: the middle, or half of the only bound; nothing for no limits.
pub fn inside(limits: &Value) -> Option<i64> {
    match (bound(limits, "min"), bound(limits, "max")) {
        (Some(min), Some(max)) => Some(i64::midpoint(min, max)),
        (None, Some(max)) => Some(max / 2),
        (Some(min), None) => Some(min + min / 100),
        (None, None) => None,
    }
}
