//! Repeats of one place that differ by more than the gauge explains.
//!
//! The range of n repeats is compared with the 95 percent point of the range of n normal readings times what one of
//! them is apart from another by as a standard deviation: its repeat, and where gauges, hands or temperatures are
//! not the same, what each of them alone is off by. Without a figure nothing is known to compare with, and nothing
//! is asked. Once a named person has confirmed every reading of the place, they count together.

use super::QuestionWhy;
use crate::judgement::errors::{PlaceError, difference_error};
use crate::metrology::repeats::range_factor;
use crate::metrology::{Exact, Unit};
use crate::shop::Reading;

pub(super) fn why(unit: Unit, readings: &[&Reading]) -> Option<QuestionWhy> {
    if readings.len() < 2 {
        return None;
    }
    let errors: Vec<PlaceError> = readings.iter().map(|r| PlaceError::of_one(r)).collect::<Option<_>>()?;
    // Half of the square of a difference is the variance of one of the two.
    let halves = errors.iter().enumerate().flat_map(|(index, one)| {
        let half = |other| difference_error(one, other).powi(2) / 2.0 - alike(one, other).powi(2);
        errors.iter().skip(index + 1).map(half)
    });
    #[expect(clippy::cast_precision_loss, reason = "at most 99 repeats")]
    let pairs = (errors.len() * (errors.len() - 1) / 2) as f64;
    let sigma = (halves.sum::<f64>() / pairs).sqrt();
    let usual = range_factor(readings.len()) * sigma;
    let range = range(readings)?;
    // A range that equals the usual one on the decimal grid is not larger than it.
    (range.to_mm() > usual * (1.0 + 1e-9)).then(|| QuestionWhy::Repeats {
        range: shown(range.show(unit), unit),
        usual: shown(rounded(usual, unit), unit),
    })
}

/// What both have of this place's own: how one person takes it, which repeats of theirs have alike.
fn alike(one: &PlaceError, other: &PlaceError) -> f64 {
    let hands = one.gauge.one_reading().filter(|_| one.gauge.is_in_hands_of(&other.gauge));
    hands.map_or(0.0, |hands| hands.by_part)
}

fn range(readings: &[&Reading]) -> Option<Exact> {
    let values = || readings.iter().map(|reading| reading.value);
    Some(values().max()? - values().min()?)
}

fn rounded(mm: f64, unit: Unit) -> String {
    let decimals = if unit == Unit::Inch { 5 } else { 4 };
    format!("{:.decimals$}", mm / unit.scale())
}

fn shown(digits: String, unit: Unit) -> String {
    format!("{digits} {}", unit.symbol())
}
