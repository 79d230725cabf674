//! Two places that differ as two places of one part do not: both are asked about, since nothing says which of them slipped.
//!
//! Wear is gradual, so the lesser worn place follows the other: they may differ by what reuse allows, U, and half of what
//! the lesser is worn past new (common practice). Where exchanged digits of one lead to the other, that one is asked about
//! at half of it.

use super::{Asking, QuestionWhy, Whys, past_new, swapped_digits};
use crate::metrology::Exact;
use crate::shop::{Place, Reading, ReadingSet};

pub(super) fn add(asking: &Asking<'_>, set: &ReadingSet, whys: &mut Whys) {
    let Some(allowance) = past_new::allowance(asking) else { return };
    if set.readings.len() != 2 {
        return;
    }
    let first = |(place, readings): (&Place, &Vec<Reading>)| {
        let reading = readings.iter().find(|reading| !whys.asks(reading))?;
        Some((*place, reading.clone(), past_new::worn(asking, reading.value)?.to_mm()))
    };
    let spots: Option<Vec<(Place, Reading, f64)>> = set.readings.iter().map(first).collect();
    let Some([one, other]) = spots.as_deref() else { return };
    let apart = (one.2 - other.2).abs();
    let usual = allowance.to_mm() + past_new::expanded(&one.1) + one.2.min(other.2).max(0.0) / 2.0;
    let unit = asking.unit;
    let unlike = |others: &Reading| QuestionWhy::Unlike {
        others: format!("{} {}", others.value.show(unit), unit.symbol()),
    };
    for (of, by) in [(one, other), (other, one)] {
        let near = |value: Exact| (value - by.1.value).abs().to_mm() <= past_new::expanded(&by.1);
        let swapped = swapped_digits::why(&of.1, near).filter(|_| apart > usual / 2.0);
        if let Some(why) = swapped.or_else(|| (apart > usual).then(|| unlike(&by.1))) {
            whys.add_place(set, of.0, |_| why.clone());
        }
    }
}
