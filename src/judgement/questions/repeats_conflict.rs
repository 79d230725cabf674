//! Repeats of one place that differ by more than the gauge explains.
//!
//! The range of n repeats is compared with the 95 percent point of the range of n normal readings times the
//! repeat figure; readings by different gauges also differ by what each gauge's set shares, so that part is
//! added. Without a figure nothing is known to compare with, and nothing is asked. Once a named person has
//! confirmed every reading of the place, they count together.

use super::QuestionWhy;
use crate::metrology::repeats::range_factor;
use crate::metrology::{Exact, Unit};
use crate::shop::Reading;

pub(super) fn why(unit: Unit, readings: &[&Reading]) -> Option<QuestionWhy> {
    if readings.len() < 2 {
        return None;
    }
    let figures: Option<Vec<_>> =
        readings.iter().map(|r| Some((r.gauge.as_ref()?, r.gauge.as_ref()?.figure?))).collect();
    let figures = figures?;
    let one_gauge = figures.windows(2).all(|two| matches!(two, [a, b] if a.0.mark == b.0.mark));
    let variances = figures.iter().map(|(gauge, figure)| {
        if one_gauge { gauge.own().unwrap_or(figure.repeat).powi(2) } else { figure.combined().powi(2) }
    });
    #[expect(clippy::cast_precision_loss, reason = "at most 99 repeats")]
    let sigma = (variances.sum::<f64>() / figures.len() as f64).sqrt();
    let usual = range_factor(readings.len()) * sigma;
    let range = range(readings)?;
    // A range that equals the usual one on the decimal grid is not larger than it.
    (range.to_mm() > usual * (1.0 + 1e-9)).then(|| QuestionWhy::Repeats {
        range: shown(range.show(unit), unit),
        usual: shown(rounded(usual, unit), unit),
    })
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
