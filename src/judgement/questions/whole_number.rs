//! Thousandths typed as a whole number: 3 for 0.003, 249 for 2.249, 35 for 0.35 mm.
//!
//! A bench says "two forty-nine" and types it. Only a number written without a decimal point is tried: as thousandths
//! or ten-thousandths of an inch, as hundredths or thousandths of a millimetre, and of what is a size with the whole
//! inches or millimetres of that size before it (trade notes I2).

use super::{QuestionWhy, Reach};
use crate::judgement::words;
use crate::metrology::{Exact, Length, Unit};
use crate::shop::Reading;

pub(super) fn why(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    let parts: [i128; 2] = reading.unit.of_length([1000, 10_000], [100, 1000])?;
    if reading.digits.is_empty() || !reading.digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let wholes = reach.wholes(reading.unit).filter_map(|whole| whole_of(whole, reading.unit));
    wholes
        .flat_map(|whole| parts.map(|part| whole + reading.value.part(1, part)))
        .find(|meant| reach.is_likely(*meant))
        .map(|meant| QuestionWhy::WholeNumber { meant: words::length(meant, reading.unit) })
}

fn whole_of(whole: i64, unit: Unit) -> Option<Exact> {
    Length::parse(&whole.to_string(), unit).ok().map(Length::exact)
}
