//! A set that is worn much and evenly: a gauge set wrong, a warm part, or another size than the one in hand.
//!
//! Wear leaves its form behind: a bore is worn most at the top across the pin and hardly below ring travel, a guide at its
//! ends, a housing is stretched upright, a stem is worn where it travels (trade notes B). So the least worn place of a surface is
//! worn no more than its places lie apart, and a part of what reuse allows beside. A worn journal is not asked about so:
//! dirty oil goes all round it, and somebody may have polished it. What is fresh has not worn, and work that missed its size is
//! even: it is asked about past the width of its limits, not sooner. How much beside is common practice, no source.
//!
//! The set is asked about as one: no place of it says which slip it was.

use super::past_new::{self, expanded};
use super::{Asking, QuestionWhy, Whys, other_condition};
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::{Reading, ReadingSet};

/// Why the whole set is asked about, where no reading of it is asked about by itself.
pub(super) fn why(asking: &Asking<'_>, set: &ReadingSet, whys: &Whys) -> Option<QuestionWhy> {
    let allowance = past_new::allowance(asking)?.to_mm();
    let stations = asking.feature.stations.len();
    let mut worn: Vec<(Exact, &Reading)> = Vec::with_capacity(set.readings.len());
    for (_, readings) in set.readings.iter().filter(|(place, _)| place.station < stations) {
        let reading = readings.iter().find(|reading| !whys.asks(reading))?;
        worn.push((past_new::worn(asking, reading.value)?, reading));
    }
    worn.sort_by_key(|(worn, _)| *worn);
    let [(least, reading), .., (most, _)] = worn.as_slice() else { return None };
    let apart = (*most - *least).to_mm();
    let (of_apart, of_allowance, of_expanded) =
        if asking.fresh { (0.5, 1.0, 0.5) } else { (1.0, evenly(asking.feature.shape, worn.len())?, 0.3) };
    let usual = apart * of_apart + allowance * of_allowance + expanded(reading) * of_expanded;
    if least.to_mm() <= usual {
        return None;
    }
    let unit = asking.unit;
    Some(other_condition::fitting(asking, set).unwrap_or_else(|| QuestionWhy::WornEvenly {
        by: format!("{} {}", least.show(unit), unit.symbol()),
        apart: format!("{} {}", (*most - *least).show(unit), unit.symbol()),
    }))
}

/// How much of what reuse allows the least worn of so many places may be worn although nothing is apart; `None` where wear
/// may well be even: a journal was polished in an earlier rebuild, or dirty oil went round it.
fn evenly(shape: Shape, places: usize) -> Option<f64> {
    match shape {
        Shape::Bore | Shape::Wall => Some(if places >= 6 { 0.3 } else { 0.5 }),
        Shape::Shaft | Shape::Grows | Shape::Shrinks | Shape::Either => (places >= 6).then_some(0.5),
    }
}
