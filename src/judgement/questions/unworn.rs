//! A band that never wears and reads worn: a warm bore, a gauge set wrong, or another size than the one in hand.
//!
//! It is read to know what the surface was made as, so it lies within the new limits of the size in hand, and by no more
//! than their width and U outside of them (common practice). The places that wear cannot tell this from wear.

use super::{Asking, QuestionWhy, past_new, swapped_digits};
use crate::metrology::Exact;
use crate::sheets::Shape;
use crate::shop::Reading;

pub(super) fn why(asking: &Asking<'_>, reading: &Reading) -> Option<QuestionWhy> {
    if reading.place.station < asking.feature.stations.len() {
        return None;
    }
    let worn = past_new::worn(asking, reading.value).filter(|worn| *worn > Exact::ZERO)?;
    let usual = asking.new?.width()?.to_mm() + past_new::expanded(reading);
    let near = |value: Exact| past_new::is_near(asking, value, 0);
    (worn.to_mm() > usual).then(|| {
        swapped_digits::why(reading, near).unwrap_or_else(|| QuestionWhy::PastNew {
            by: format!("{} {}", worn.show(asking.unit), asking.unit.symbol()),
            larger: asking.feature.shape == Shape::Bore,
        })
    })
}
