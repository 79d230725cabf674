//! Two digits exchanged: 2.4288 for 2.2488.

use super::QuestionWhy;
use crate::metrology::{Exact, Length};
use crate::shop::Reading;

/// Tries neighbours first, then any two digits; `fits` says where the meant value would have to lie.
pub(super) fn why(reading: &Reading, fits: impl Fn(Exact) -> bool) -> Option<QuestionWhy> {
    let digits: Vec<char> = reading.digits.chars().collect();
    let count = digits.len();
    // Deviations are written with their setting and have no digits to exchange here.
    let written = Length::parse(&reading.digits, reading.unit).ok()?;
    for apart in 1..count {
        for first in 0..count - apart {
            let mut tried = digits.clone();
            tried.swap(first, first + apart);
            let tried: String = tried.into_iter().collect();
            let meant = Length::parse(&tried, reading.unit).ok().filter(|length| *length != written);
            if meant.is_some_and(|length| fits(length.exact())) {
                return Some(QuestionWhy::SwappedDigits {
                    meant: format!("{tried} {}", reading.unit.symbol()),
                });
            }
        }
    }
    None
}

/// 0.003 of 0.030: a zero exchanged is the decimal point elsewhere, which is asked about out of reach only.
pub(super) fn is_tenfold(meant: Exact, reading: &Reading) -> bool {
    [10, 100].into_iter().any(|times| meant * times == reading.value || reading.value * times == meant)
}
