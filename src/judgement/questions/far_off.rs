//! Of what is no diameter: further past what is new than wear takes it, or past it on the side that wear does not go to.
//!
//! What is worn past its limit is a finding and is judged. Past new by more than two and a half times what reuse allows (to
//! the service limit, or to the last one that is machined to; where the sheet has neither, the width of what is new) it is
//! ruined or a slip, as with a diameter. On the other side it is a slip or an assembly that went wrong: beyond every limit by
//! more than a quarter of that width, or all of it where it is being put together. What is fresh misses new by no more than
//! that width. U is allowed on either side (common practice). What is meant is said where the decimal point, exchanged digits
//! or a missed turn lead inside the limits.

use super::past_new::expanded;
use super::reach::Reach;
use super::{Asking, QuestionWhy, decimal_slip, swapped_digits, turn};
use crate::judgement::words;
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::{Condition, Reading};

pub(super) fn why(asking: &Asking<'_>, reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    let (by, new) = past(asking, reach, reading.value, expanded(reading))?;
    let likely =
        |value: Exact| reach.brought(value, reading.unit).is_some_and(|value| reach.is_likely(value));
    let shown = |value: Exact| words::length(value, reach.shown_in(reading.unit));
    decimal_slip::why(reach, reading)
        .or_else(|| swapped_digits::why(reading, likely))
        .or_else(|| turn::why(reading, likely))
        .or_else(|| Some(QuestionWhy::FarOff { by: shown(by), new: shown(new) }))
}

/// By how much a value is past the nearer new limit, and that limit, where it is further off than this.
pub(super) fn past(
    asking: &Asking<'_>,
    reach: &Reach,
    value: Exact,
    expanded: f64,
) -> Option<(Exact, Exact)> {
    let (new_low, new_high) = reach.as_new()?;
    let (low, high) = reach.limits();
    let width = (new_high - new_low).to_mm();
    // Where new is one value, or nothing, what reuse allows says how much a little is.
    let little = if width > 0.0 { width } else { (high - low).to_mm() / 4.0 };
    let (to_low, to_high) = ((new_low - low).to_mm(), (high - new_high).to_mm());
    let worn = |allowed: f64| 2.5 * if allowed > 0.0 { allowed } else { little };
    // What is being put together may yet be set or filed: too tight is then a finding like any other.
    let unworn = if asking.set.condition == Condition::AsReceived { little / 4.0 } else { little };
    let (below, above) = match asking.feature.shape {
        Shape::Shaft | Shape::Bore | Shape::Wall => return None,
        _ if asking.fresh => (little, little),
        Shape::Grows => (to_low + unworn, worn(to_high)),
        Shape::Shrinks => (worn(to_low), to_high + unworn),
        Shape::Either => (to_low + little, to_high + little),
    };
    if (new_low - value).to_mm() > below + expanded {
        return Some((new_low - value, new_low));
    }
    ((value - new_high).to_mm() > above + expanded).then_some((value - new_high, new_high))
}
