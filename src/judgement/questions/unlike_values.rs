//! A place unlike its neighbours, of what is no diameter and is read at three places or more: corners of a deck, lines of
//! a face.
//!
//! A size that hardly varies may be cut askew, but one corner is not apart from the next by more than all its limits
//! leave between them. A face is hollow in more lines than one: the worst line is asked about where it is more than three
//! times the next worst and half of what the limits leave beside (common practice).

use super::past_new::expanded;
use super::reach::Reach;
use super::{Asking, QuestionWhy, Whys};
use crate::sheets::Shape;
use crate::shop::{Place, Reading, ReadingSet};

pub(super) fn add(asking: &Asking<'_>, reach: &Reach, set: &ReadingSet, whys: &mut Whys) {
    let diameter = matches!(asking.feature.shape, Shape::Shaft | Shape::Bore | Shape::Wall);
    // Nose, base circle and dial of a lobe are no neighbours.
    if set.readings.len() < 3 || diameter || reach.is_by_parts() {
        return;
    }
    let mut spots: Vec<(f64, Place, &Reading)> = Vec::with_capacity(set.readings.len());
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
    let width = reach.width().to_mm();
    let (odd, others) = if reach.hardly_varies() {
        let usual = width + expanded(last.2);
        if last.0 - next.0 > usual {
            (last, (first.2, next.2))
        } else if second.0 - first.0 > usual {
            (first, (second.2, last.2))
        } else {
            return;
        }
    } else if asking.feature.shape == Shape::Grows && last.0 > next.0 * 3.0 + width / 2.0 + expanded(last.2) {
        (last, (first.2, next.2))
    } else {
        return;
    };
    let unit = asking.unit;
    let (low, high) = (others.0.value.show(unit), others.1.value.show(unit));
    whys.add_place(set, odd.1, |_| QuestionWhy::Unlike {
        others: format!("{low} to {high} {}", unit.symbol()),
    });
}
