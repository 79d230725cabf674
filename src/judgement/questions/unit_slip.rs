//! A value in the other unit: 57.12 among inches, 2.2488 among millimetres.

use super::{QuestionWhy, Reach};
use crate::metrology::Unit;
use crate::shop::Reading;

pub(super) fn why(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    // 25.4 and 1/25.4, exactly.
    let (other, value) = match reading.unit {
        Unit::Inch => (Unit::Millimetre, reading.value.part(10, 254)),
        Unit::Millimetre => (Unit::Inch, reading.value.part(254, 10)),
        Unit::CubicCentimetre
        | Unit::PoundForce
        | Unit::Newton
        | Unit::Gram
        | Unit::Psi
        | Unit::Kilopascal
        | Unit::Degree => return None,
    };
    reach.is_likely(value).then(|| QuestionWhy::UnitSlip { unit: other.symbol() })
}
