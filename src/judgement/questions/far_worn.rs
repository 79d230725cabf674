//! Further worn than anything that is still one of its size: past new by more than three times what reuse allows.
//!
//! An honest part may be worn past its limit, which is what verdicts are for; trade notes B allow wear of about a
//! thousandth of the size, and what a limit allows three times over is a ruined part, a part of another size, or a slip.
//! Which of them, a second reading says, and money hangs on it (trade notes F, "re-measure when"). Where exchanged
//! digits or a missed turn of the micrometer lead back to a size that is likely, that is said.
//!
//! Twice the allowance is enough where exchanged digits explain it: honest digits seldom do so by chance.

use super::{Asking, QuestionWhy, past_new, swapped_digits, turn};
use crate::metrology::Exact;
use crate::shop::Reading;

pub(super) fn why(asking: &Asking<'_>, reading: &Reading) -> Option<QuestionWhy> {
    let worn = past_new::worn(asking, reading.value).filter(|worn| *worn > Exact::ZERO)?;
    let allowance = past_new::allowance(asking)?;
    if worn <= allowance * 2 {
        return None;
    }
    let near = |value: Exact| past_new::is_near(asking, value, 1);
    if let Some(why) = swapped_digits::why(reading, near) {
        return Some(why);
    }
    let far = worn.to_mm() > allowance.to_mm() * 3.0 + past_new::expanded(reading);
    far.then(|| {
        turn::why(reading, near).unwrap_or_else(|| QuestionWhy::FarWorn {
            by: format!("{} {}", worn.show(asking.unit), asking.unit.symbol()),
        })
    })
}
