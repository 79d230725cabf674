//! A turn of the micrometer missed: 2.2238 for 2.2488.
//!
//! A thimble travels 0.025 in or 0.5 mm a turn, and the line of the barrel beneath it is misread by one; the tenth of
//! an inch and the whole millimetre likewise (trade notes F: off by a round 0.010, 0.025, 0.100 in).

use super::QuestionWhy;
use crate::judgement::words;
use crate::metrology::{Exact, Length};
use crate::shop::{GaugeInUse, Reading};

pub(super) fn why(reading: &Reading, fits: impl Fn(Exact) -> bool) -> Option<QuestionWhy> {
    // A feeler or a strip has no turns.
    let by_feel = |gauge: &GaugeInUse| gauge.one_reading().is_some_and(|one| one.interval.is_some());
    if reading.gauge.as_deref().is_some_and(by_feel) {
        return None;
    }
    let turns = reading.unit.of_length(["0.025", "0.100", "0.010"], ["0.5", "1", "0.1"])?;
    let steps = turns.into_iter().filter_map(|turn| Length::parse(turn, reading.unit).ok());
    steps
        .flat_map(|step| [reading.value + step.exact(), reading.value - step.exact()])
        .find(|meant| fits(*meant))
        .map(|meant| QuestionWhy::Turn { meant: words::length(meant, reading.unit) })
}
