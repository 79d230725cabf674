//! A deviation typed as if it were the size: +0.0025 on a bore gauge that was set at 3.6100.
//!
//! A dial bore gauge shows how far the bore is from what it was set to; without the setting that says nothing (trade
//! notes I2). A plus before a value is returned at the door. Asked of sizes only: nothing tells a small gap from a
//! deviation.

use super::{QuestionWhy, Reach};
use crate::metrology::Exact;
use crate::shop::Reading;

pub(super) fn why(reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    let low = reach.low();
    // A size is not typed five hundred times too small; a wear or an oversize is no five-hundredth of the size.
    let tiny = reading.value.is_negative() || reading.value * 500 < low;
    (tiny && low > Exact::ZERO && reach.is_sure(reading.value)).then_some(QuestionWhy::NoSetting)
}
