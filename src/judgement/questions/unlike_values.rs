//! A place unlike its neighbours, of what is no diameter and is read at three places or more: corners of a deck, lines of
//! a face.
//!
//! A size that hardly varies may be cut askew, but one corner is not apart from the next by more than all its limits
//! leave between them (of what was just cut, its new limits); by a third of that where exchanged digits or a missed turn lead
//! among the others. A face is hollow in more lines than one: the worst line is asked about where it is more than half as
//! much again as the next worst and a third of what the limits leave beside (common practice).

use super::past_new::expanded;
use super::reach::Reach;
use super::{Asking, QuestionWhy, Whys, swapped_digits, turn};
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::{Place, Reading, ReadingSet};

pub(super) fn add(asking: &Asking<'_>, reach: &Reach, set: &ReadingSet, whys: &mut Whys) {
    let diameter = matches!(asking.feature.shape, Shape::Shaft | Shape::Bore | Shape::Wall);
    // Nose, base circle and dial of a lobe are no neighbours.
    if set.readings.len() < 3 || diameter || reach.is_by_parts() {
        return;
    }
    let mut spots: Vec<Spot<'_>> = Vec::with_capacity(set.readings.len());
    for (place, readings) in &set.readings {
        if let Some(reading) = readings.iter().find(|reading| !whys.asks(reading)) {
            spots.push((reading.value.to_mm(), *place, reading));
        }
    }
    spots.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (Some([first, second]), Some([next, last])) = (spots.first_chunk::<2>(), spots.last_chunk::<2>())
    else {
        return;
    };
    if spots.len() < 3 {
        return;
    }
    let (below, above) = ((first, second.2, last.2), (last, first.2, next.2));
    let apart = |odd: &Spot<'_>, to: f64| (odd.0 - to).abs();
    let width = reach.width().to_mm();
    if !reach.hardly_varies() {
        let far = next.0 * 1.5 + width / 3.0 + expanded(last.2);
        if asking.feature.shape == Shape::Grows && last.0 > far {
            whys.add_place(set, last.1, |_| unlike(asking, above));
        }
        return;
    }
    // What was just cut was cut in one setting.
    let cut = reach.as_new().filter(|_| asking.fresh).map(|(low, high)| (high - low).to_mm());
    let usual = cut.unwrap_or(width) + expanded(last.2);
    let sides = [(above, apart(last, next.0)), (below, apart(first, second.0))];
    for (odd, by) in sides {
        let slipped = || (by > usual / 3.0).then(|| slipped(odd)).flatten();
        let why = slipped().or_else(|| (by > usual).then(|| unlike(asking, odd)));
        if let Some(why) = why {
            return whys.add_place(set, odd.0.1, |_| why.clone());
        }
    }
}

/// A place with its first reading that is not asked about.
type Spot<'a> = (f64, Place, &'a Reading);

/// The place that is odd, and the least and the largest of the others.
type Odd<'a> = (&'a Spot<'a>, &'a Reading, &'a Reading);

/// Exchanged digits or a missed turn that lead among the others.
fn slipped((odd, least, largest): Odd<'_>) -> Option<QuestionWhy> {
    let slack = expanded(odd.2);
    let among =
        |value: Exact| (least.value - value).to_mm() <= slack && (value - largest.value).to_mm() <= slack;
    swapped_digits::why(odd.2, among).or_else(|| turn::why(odd.2, among))
}

fn unlike(asking: &Asking<'_>, (_, least, largest): Odd<'_>) -> QuestionWhy {
    let unit = asking.unit;
    let (low, high) = (least.value.show(unit), largest.value.show(unit));
    QuestionWhy::Unlike { others: format!("{low} to {high} {}", unit.symbol()) }
}
