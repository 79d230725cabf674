//! Places with their values: repeats averaged, questioned readings kept out.

use crate::facts::Digest;
use crate::metrology::{Exact, Unit};
use crate::shop::{GaugeInUse, Place, Reading};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Names one reading: its drop and its row there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReadingRef {
    /// The drop.
    pub fact: Digest,
    /// Row in the drop, from 0.
    pub row: usize,
}

/// The value of one place: the exact mean of its repeats.
#[derive(Clone, Debug)]
pub(super) struct PlaceValue {
    pub(super) mean: Exact,
    pub(super) readings: Vec<ReadingRef>,
    pub(super) error: Option<PlaceError>,
    pub(super) corrected: bool,
}

/// How a place's value errs: its own part, and parts shared with other places of the same gauge.
#[derive(Clone, Debug)]
pub(super) struct PlaceError {
    /// Standard deviation of the mean of the repeats, millimetres.
    pub(super) repeat: f64,
    /// The gauge whose setting and transfer all its repeats share.
    pub(super) gauge: Arc<GaugeInUse>,
    pub(super) setting: f64,
    pub(super) transfer: f64,
    /// Half-width of an interval, where the instrument gives one; `repeat` is then of its rectangle.
    pub(super) interval: Option<f64>,
}

impl PlaceError {
    pub(super) fn shared(&self) -> f64 {
        self.setting.hypot(self.transfer)
    }

    pub(super) fn combined(&self) -> f64 {
        self.repeat.hypot(self.shared())
    }
}

/// The places of one surface in one condition.
pub(super) type Values = BTreeMap<Place, PlaceValue>;

/// Averages the repeats of a place; `None` of nothing.
pub(super) fn value_of(readings: &[&Reading]) -> Option<PlaceValue> {
    let lengths: Vec<Exact> = readings.iter().map(|reading| reading.value).collect();
    Some(PlaceValue {
        mean: Exact::mean(&lengths)?,
        readings: readings.iter().map(|r| ReadingRef { fact: r.fact, row: r.row }).collect(),
        error: error_of(readings),
        corrected: readings.iter().any(|r| r.is_correction),
    })
}

/// Errors of the mean. Repeats by one gauge share its setting and transfer. Repeats by several gauges do not:
/// what they share is then averaged down like the rest and belongs to this place alone.
fn error_of(readings: &[&Reading]) -> Option<PlaceError> {
    let gauges: Vec<&Arc<GaugeInUse>> = readings.iter().filter_map(|r| r.gauge.as_ref()).collect();
    let figures: Vec<_> = gauges.iter().filter_map(|g| g.figure).collect();
    if figures.len() != readings.len() {
        return None;
    }
    let first = gauges.first()?;
    let figure = figures.first()?;
    #[expect(clippy::cast_precision_loss, reason = "at most 99 repeats")]
    let n = readings.len() as f64;
    if gauges.iter().all(|gauge| gauge.mark == first.mark) {
        // The width of an interval is no scatter: looking three times does not narrow it.
        let repeat = if figure.interval.is_some() { figure.repeat } else { figure.repeat / n.sqrt() };
        return Some(PlaceError {
            repeat,
            gauge: Arc::clone(first),
            setting: figure.setting,
            transfer: figure.transfer,
            interval: figure.interval,
        });
    }
    let variance: f64 = figures.iter().map(|f| f.combined().powi(2)).sum::<f64>() / (n * n);
    Some(PlaceError {
        repeat: variance.sqrt(),
        gauge: Arc::clone(first),
        setting: 0.0,
        transfer: 0.0,
        interval: None,
    })
}

/// `a - b` of two places, with what they share cancelled: a lift from nose and base circle.
pub(super) fn difference(a: &PlaceValue, b: &PlaceValue) -> PlaceValue {
    let error = a.error.as_ref().zip(b.error.as_ref()).map(|(of_a, of_b)| PlaceError {
        repeat: difference_error(of_a, of_b),
        gauge: Arc::clone(&of_a.gauge),
        setting: 0.0,
        transfer: 0.0,
        interval: None,
    });
    PlaceValue {
        mean: a.mean - b.mean,
        readings: a.readings.iter().chain(&b.readings).copied().collect(),
        error,
        corrected: a.corrected || b.corrected,
    }
}

/// Uncertainty of a difference of two places: repeats add; what one gauge shares cancels, what two gauges do
/// not share stays, save a setting both got from the same standard.
pub(super) fn difference_error(a: &PlaceError, b: &PlaceError) -> f64 {
    let mut variance = a.repeat.powi(2) + b.repeat.powi(2);
    if a.gauge.mark != b.gauge.mark {
        variance += a.transfer.powi(2) + b.transfer.powi(2) + unshared_setting(a, b);
    }
    variance.sqrt()
}

fn unshared_setting(a: &PlaceError, b: &PlaceError) -> f64 {
    if a.gauge.setting_of == b.gauge.setting_of {
        (a.setting - b.setting).powi(2)
    } else {
        a.setting.powi(2) + b.setting.powi(2)
    }
}

impl PlaceValue {
    /// A size that nobody read and that is taken as it is: an end of what the sheet allows.
    pub(super) fn at(size: Exact) -> Self {
        let nobody = GaugeInUse {
            mark: String::new(),
            instrument: String::new(),
            setting_of: String::new(),
            figure: None,
            unit: Unit::Millimetre,
        };
        let error =
            PlaceError { repeat: 0.0, gauge: Arc::new(nobody), setting: 0.0, transfer: 0.0, interval: None };
        Self { mean: size, readings: Vec::new(), error: Some(error), corrected: false }
    }

    /// The fraction `numer / denom` of it, with its errors.
    pub(super) fn part(&self, numer: i32, denom: i32) -> Self {
        let factor = (f64::from(numer) / f64::from(denom)).abs();
        let error = self.error.as_ref().map(|error| PlaceError {
            repeat: error.repeat * factor,
            gauge: Arc::clone(&error.gauge),
            setting: error.setting * factor,
            transfer: error.transfer * factor,
            interval: error.interval.map(|half| half * factor),
        });
        Self {
            mean: self.mean.part(i128::from(numer), i128::from(denom)),
            readings: self.readings.clone(),
            error,
            corrected: self.corrected,
        }
    }
}
