//! A place unlike its neighbours: one diameter of a bore or journal far more, or far less, worn than all others of it.
//!
//! Wear is gradual. A bore is worn most at the top across the pin, but then its next level and its other direction are
//! worn too; a journal is tapered and oval, but its second plane follows the first (trade notes B). So the most worn
//! place may be as far from the least worn one as twice the second most worn place is, and what is beside that half of
//! what reuse allows; where no plane is read in two directions, one and a half times what reuse allows. The least worn
//! place may be an unworn one: a gap of twice what reuse allows between it and all others is asked about.

use super::{Asking, QuestionWhy, Whys, past_new, swapped_digits, turn};
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::{Place, Reading, ReadingSet};

/// A place with its value.
struct Spot<'a> {
    place: Place,
    reading: &'a Reading,
    /// How far towards wear, from anywhere, in millimetres.
    worn: f64,
}

/// Adds what it asks to what is asked already; readings that are asked about are no neighbours.
pub(super) fn add(asking: &Asking<'_>, set: &ReadingSet, whys: &mut Whys) {
    let (Some(sign), Some(allowance)) = (sign(asking), past_new::allowance(asking)) else { return };
    let mut spots: Vec<Spot<'_>> = Vec::with_capacity(set.readings.len());
    for (place, readings) in &set.readings {
        // Repeats that disagree have a question of their own; of those that agree any one will do.
        if let Some(reading) = readings.iter().find(|reading| !whys.asks(reading)) {
            spots.push(Spot { place: *place, reading, worn: sign * reading.value.to_mm() });
        }
    }
    spots.sort_by(|a, b| a.worn.total_cmp(&b.worn).then(a.place.cmp(&b.place)));
    let [least, second_least, .., second, most] = spots.as_slice() else {
        return three(asking, set, &spots, whys, allowance);
    };
    let expanded = past_new::expanded(most.reading);
    let (worn, next) = (most.worn - least.worn, second.worn - least.worn);
    if worn > next * 2.0 + slack(asking, allowance) + expanded {
        let others = (least.reading.value, second.reading.value);
        return whys.add_place(set, most.place, |reading| why(asking, reading, others));
    }
    let exchanged = next * 1.6 + allowance.to_mm() * 0.3 + expanded;
    if worn > exchanged && exchanged_among(most.reading, (least.reading.value, second.reading.value)) {
        let others = (least.reading.value, second.reading.value);
        return whys.add_place(set, most.place, |reading| why(asking, reading, others));
    }
    let behind = second_least.worn - least.worn;
    let others = (second_least.reading.value, most.reading.value);
    if behind > allowance.to_mm() * 0.4 + expanded * 0.8 && exchanged_among(least.reading, others) {
        return whys.add_place(set, least.place, |reading| why(asking, reading, others));
    }
    if behind > allowance.to_mm() * 2.0 + expanded {
        whys.add_place(set, least.place, |reading| why(asking, reading, others));
    }
}

/// Exchanged digits lead among the others: less of a gap will do then, since honest digits seldom do so by chance.
fn exchanged_among(reading: &Reading, (one, other): (Exact, Exact)) -> bool {
    let (low, high) = (one.min(other), one.max(other));
    swapped_digits::why(reading, |value| low <= value && value <= high).is_some()
}

/// Of three places the odd one is far from both others, which are near each other.
fn three(asking: &Asking<'_>, set: &ReadingSet, spots: &[Spot<'_>], whys: &mut Whys, allowance: Exact) {
    let [least, middle, most] = spots else { return };
    let expanded = past_new::expanded(most.reading);
    let (above, below) = (most.worn - middle.worn, middle.worn - least.worn);
    let of = |spot: &Spot<'_>| spot.reading.value;
    let (odd, others, gap, rest) = if above > below {
        (most, (of(least), of(middle)), above, below)
    } else {
        (least, (of(middle), of(most)), below, above)
    };
    let part = if exchanged_among(odd.reading, others) { 0.5 } else { 1.5 };
    if gap <= allowance.to_mm() * part + expanded + rest * 2.0 {
        return;
    }
    whys.add_place(set, odd.place, |reading| why(asking, reading, others));
}

/// What may be beside the wear of the neighbours, in millimetres.
fn slack(asking: &Asking<'_>, allowance: Exact) -> f64 {
    let planes = asking.feature.stations.len() > 1 && asking.feature.directions.len() > 1;
    allowance.to_mm() * if planes { 0.5 } else { 1.5 }
}

/// With what was meant, where exchanged digits or a missed turn lead among the others.
fn why(asking: &Asking<'_>, reading: &Reading, (one, other): (Exact, Exact)) -> QuestionWhy {
    let (low, high) = (one.min(other), one.max(other));
    let among = |value: Exact| low <= value && value <= high;
    swapped_digits::why(reading, among).or_else(|| turn::why(reading, among)).unwrap_or_else(|| {
        let unit = asking.unit;
        QuestionWhy::Unlike { others: format!("{} to {} {}", low.show(unit), high.show(unit), unit.symbol()) }
    })
}

/// Which way wear goes; `None` of what is no diameter, whose places differ as they like.
const fn sign(asking: &Asking<'_>) -> Option<f64> {
    match asking.feature.shape {
        Shape::Bore => Some(1.0),
        Shape::Shaft | Shape::Wall => Some(-1.0),
        Shape::Grows | Shape::Shrinks | Shape::Either => None,
    }
}
