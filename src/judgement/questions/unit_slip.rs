//! A value in the other unit: 57.12 among inches, 2.2488 among millimetres.

use super::{QuestionWhy, Reach};
use crate::metrology::Unit;
use crate::shop::Reading;

/// 0.0354 among millimetres, which no gauge of a bench shows: finer than half a micron, and it would fit in inches.
pub(super) fn too_fine(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    let (_, decimals) = reading.digits.split_once('.')?;
    let rest = decimals.get(3..).filter(|rest| !["", "0", "5"].contains(rest));
    let fine = reading.unit == Unit::Millimetre && rest.is_some();
    fine.then(|| why(reach, reading)).flatten()
}

pub(super) fn why(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    // 25.4 and 1/25.4, exactly.
    let (other, numer, denom) = reading.unit.of_length((Unit::Millimetre, 10, 254), (Unit::Inch, 254, 10))?;
    let value = reading.value.part(numer, denom);
    reach.is_likely(value).then(|| QuestionWhy::UnitSlip { unit: other.symbol() })
}
