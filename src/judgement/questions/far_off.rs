//! Of what is no diameter: further past what is new than wear takes it, or past it on the side that wear does not go to.
//!
//! What is worn past its limit is a finding and is judged. Past new by more than two and a half times what reuse allows (to
//! the service limit, or to the last one that is machined to; where the sheet has neither, the width of what is new) it is
//! ruined or a slip, as with a diameter. On the other side it is a slip or an assembly that went wrong: beyond every limit by
//! more than a quarter of that width, or all of it where it is being put together. What is fresh misses new by no more than
//! half of that width. U is allowed on either side (common practice).
//!
//! Half of each is enough where exchanged digits or a missed turn lead back to what is new; on the side that wear does not go
//! to, exchanged digits back to anything inside the limits. What is meant is said where the decimal point, exchanged digits or
//! a missed turn lead inside the limits.

use super::past_new::expanded;
use super::reach::Reach;
use super::{Asking, QuestionWhy, decimal_slip, swapped_digits, turn};
use crate::judgement::words;
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::{Condition, Reading};

pub(super) fn why(asking: &Asking<'_>, reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    let limits = Bounds::of(asking, reach)?;
    let far = |share: f64| limits.past(share, reading.value, expanded(reading));
    let Some((by, new)) = far(1.0) else {
        // Where a slip leads back to what is new, half as far is enough: honest digits seldom do so by chance.
        limits.past(0.5, reading.value, limits.beside(expanded(reading)))?;
        // Where wear does not go to, what is worn may have been meant.
        let unworn = match asking.feature.shape {
            Shape::Grows => reading.value < limits.new.0,
            Shape::Shrinks => limits.new.1 < reading.value,
            Shape::Shaft | Shape::Bore | Shape::Wall | Shape::Either => false,
        };
        let brought = |value: Exact| reach.brought(value, reading.unit);
        let is_new = |value: Exact| brought(value).is_some_and(|value| limits.are_new(value));
        let is_meant = |value: Exact| {
            let may_be_worn = unworn && brought(value).is_some_and(|value| reach.is_likely(value));
            may_be_worn || (is_new(value) && (asking.fresh || !swapped_digits::is_tenfold(value, reading)))
        };
        // Limits are wide beside a turn, so it has to lead back to what is new; and who reads a size of a turn or two does not
        // miss one.
        let turned = |value: Exact| {
            is_new(value) && is_meant(value) && (value - reading.value).abs() * 2 < reading.value.abs()
        };
        return swapped_digits::why(reading, is_meant).or_else(|| turn::why(reading, turned));
    };
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
    Bounds::of(asking, reach)?.past(1.0, value, expanded)
}

/// What is new, and how far past it a value is asked about, millimetres.
struct Bounds {
    new: (Exact, Exact),
    below: f64,
    above: f64,
    /// As much out is a finding, whatever the digits say.
    little: f64,
}

impl Bounds {
    /// `None` of diameters, and of what has no new.
    fn of(asking: &Asking<'_>, reach: &Reach) -> Option<Self> {
        let (new_low, new_high) = reach.as_new()?;
        let (low, high) = reach.limits();
        let width = (new_high - new_low).to_mm();
        // Where new is one value, or nothing, what reuse allows says how much a little is.
        let little = if width > 0.0 { width } else { (high - low).to_mm() / 4.0 };
        let (to_low, to_high) = ((new_low - low).to_mm(), (high - new_high).to_mm());
        let worn = |allowed: f64| 2.5 * if allowed > 0.0 { allowed } else { little };
        // What is being put together may yet be set or filed: too tight is then a finding like any other.
        let unworn = if asking.set.condition == Condition::AsReceived { little / 4.0 } else { little };
        // A size alone says nothing of how far apart new ones are.
        let fresh = if width > 0.0 { width / 2.0 } else { little };
        let (below, above) = match asking.feature.shape {
            Shape::Shaft | Shape::Bore | Shape::Wall => return None,
            _ if asking.fresh => (fresh, fresh),
            Shape::Grows => (to_low + unworn, worn(to_high)),
            Shape::Shrinks => (worn(to_low), to_high + unworn),
            Shape::Either => (to_low + little, to_high + little),
        };
        Some(Self { new: (new_low, new_high), below, above, little: little / 4.0 })
    }

    /// By how much a value is past new, and which limit, where it is further off than a share of that, with this besides.
    fn past(&self, share: f64, value: Exact, expanded: f64) -> Option<(Exact, Exact)> {
        let (low, high) = self.new;
        let (below, above) = ((share * self.below).max(self.little), (share * self.above).max(self.little));
        if (low - value).to_mm() > below + expanded {
            return Some((low - value, low));
        }
        ((value - high).to_mm() > above + expanded).then_some((value - high, high))
    }

    /// What U leaves beside a little: no reading that is right is further off by chance.
    fn beside(&self, expanded: f64) -> f64 {
        (expanded - self.little).max(0.0)
    }

    fn are_new(&self, value: Exact) -> bool {
        self.new.0 <= value && value <= self.new.1
    }
}
