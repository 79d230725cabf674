//! A whole set that would fit another size than the one in hand: read after the grind and dropped as received, read
//! before it and dropped as after work, or of a part that was cut in an earlier rebuild and whose stamp nobody dropped.
//!
//! Asked when every reading of it is past what the size in hand can be (past new by more than U, or worn twice as far
//! as reuse allows) and every one would do at one other size of the sheet. Select-fit steps are no sizes to be cut to and
//! are too near to wear to tell. A torque plate on or off, or a set before cleaning, changes less than wear does and is
//! not seen.

use super::{Asking, QuestionWhy, past_new};
use crate::metrology::Exact;
use crate::shop::{Reading, ReadingSet};

/// Why the whole set is asked about.
pub(super) fn why(asking: &Asking<'_>, set: &ReadingSet) -> Option<QuestionWhy> {
    let allowance = past_new::allowance(asking)?;
    let out = set.readings.values().flatten().all(|reading| is_out(asking, allowance, reading));
    out.then(|| fitting(asking, set)).flatten()
}

/// The other size of the sheet that every reading of the set would do at, if there is one.
pub(super) fn fitting(asking: &Asking<'_>, set: &ReadingSet) -> Option<QuestionWhy> {
    let series = asking.feature.sizes.as_ref()?;
    let readings = || set.readings.values().flatten();
    readings().next()?;
    let sizes = std::iter::once(None).chain(series.steps.iter().copied().map(Some));
    let fits = |step: &Option<Exact>| {
        let new = asking.feature.new_limits(*step);
        let other = Asking { new, ..asking.clone() };
        new != asking.new && readings().all(|reading| past_new::is_near(&other, reading.value, 2))
    };
    let step = sizes.into_iter().find(fits)?;
    let fits = step.map_or_else(
        || "standard".to_owned(),
        |step| {
            let sense = if series.sign < 0 { "under" } else { "over" };
            format!("{} {} {sense}", step.show(asking.unit), asking.unit.symbol())
        },
    );
    Some(QuestionWhy::OtherCondition { fits })
}

/// Nothing of the size in hand.
fn is_out(asking: &Asking<'_>, allowance: Exact, reading: &Reading) -> bool {
    let worn = past_new::worn(asking, reading.value).is_some_and(|worn| worn > allowance * 2);
    worn || past_new::why(asking, reading).is_some()
}
