//! The decimal point elsewhere: 22.488, 0.22488 or 22488 for 2.2488.

use super::{QuestionWhy, Reach};
use crate::judgement::words;
use crate::shop::Reading;

pub(super) fn why(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    let powers = [(1, 10), (10, 1), (1, 100), (100, 1), (1, 1000), (1000, 1), (1, 10_000), (10_000, 1)];
    powers
        .into_iter()
        .map(|(numer, denom)| reading.value.part(numer, denom))
        .find(|value| reach.is_likely(*value))
        .map(|value| QuestionWhy::DecimalSlip { meant: words::length(value, reach.shown_in(reading.unit)) })
}
