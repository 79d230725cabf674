//! One gap or clearance read at two places that do not go together: a ring at the top and at the bottom of its travel.
//!
//! One of the two is worn more, but gradually: they may differ by what reuse allows past new, half of what the lesser is worn
//! past it, and U. So may the gaps of a new ring, since a bore with some taper opens them by three times as much; fresh
//! clearances differ by no more than three quarters of the width of new. Seven tenths of all that is enough where
//! exchanged digits of one lead to the other (common practice). Both are asked about where nothing says which slipped.

use super::past_new::expanded;
use super::reach::Reach;
use super::{Asking, QuestionWhy, Whys, swapped_digits};
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Shape};
use crate::shop::{Place, Reading, ReadingSet};

pub(super) fn add(asking: &Asking<'_>, reach: &Reach, set: &ReadingSet, whys: &mut Whys) {
    let is = |of: Characteristic| asking.feature.row(of).is_some();
    let ring = is(Characteristic::EndGap);
    let two = asking.feature.shape == Shape::Grows && set.readings.len() == 2;
    let is_gap = two && (ring || is(Characteristic::SideClearance));
    let Some((new_low, new_high)) = reach.as_new().filter(|_| is_gap) else { return };
    let first = |(place, readings): (&Place, &Vec<Reading>)| {
        Some((*place, readings.iter().find(|reading| !whys.asks(reading))?.clone()))
    };
    let spots: Option<Vec<(Place, Reading)>> = set.readings.iter().map(first).collect();
    let Some([one, other]) = spots.as_deref() else { return };
    let apart = (one.1.value - other.1.value).abs().to_mm();
    let lesser = (one.1.value.min(other.1.value) - new_high).max(Exact::ZERO);
    let allowed = if ring || !asking.fresh {
        (reach.limits().1 - new_high).to_mm().max((new_high - new_low).to_mm())
    } else {
        (new_high - new_low).to_mm() * 0.75
    };
    let usual = allowed + lesser.to_mm() / 2.0 + expanded(&one.1);
    let unit = asking.unit;
    let unlike =
        |of: &Reading| QuestionWhy::Unlike { others: format!("{} {}", of.value.show(unit), unit.symbol()) };
    for (of, by) in [(one, other), (other, one)] {
        let near = |value: Exact| (value - by.1.value).abs().to_mm() <= expanded(&by.1);
        let swapped = swapped_digits::why(&of.1, near).filter(|_| apart > usual * 0.7);
        if let Some(why) = swapped.or_else(|| (apart > usual).then(|| unlike(&by.1))) {
            whys.add_place(set, of.0, |_| why.clone());
        }
    }
}
