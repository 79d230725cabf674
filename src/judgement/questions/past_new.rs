//! Larger than a new shaft, or smaller than a new bore, of the size in hand by more than U: a part still warm from the
//! wash, or a gauge set wrong.
//!
//! Asked against the size the surface was last finished to, and with the gauge's expanded uncertainty
//! allowed, else every reground crank would be questioned. A warm bore and a cold shaft read as worn and cannot be told
//! from wear; with both temperatures given they are brought to 20 degrees and need no telling.

use super::{Asking, QuestionWhy};
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Limits, Shape};
use crate::shop::Reading;

pub(super) fn why(asking: &Asking<'_>, reading: &Reading) -> Option<QuestionWhy> {
    let (past, larger) = past(asking, reading.value)?;
    (past > Exact::ZERO && past.to_mm() > expanded(reading)).then(|| QuestionWhy::PastNew {
        by: format!("{} {}", past.show(asking.unit), asking.unit.symbol()),
        larger,
    })
}

/// Expanded uncertainty of one reading by its gauge, millimetres; none without one.
pub(super) fn expanded(reading: &Reading) -> f64 {
    reading.gauge.as_ref().and_then(|gauge| gauge.one_reading()).map_or(0.0, |one| 2.0 * one.combined())
}

/// How far past the new limit on the side that wear does not go to, and whether that side is larger.
fn past(asking: &Asking<'_>, value: Exact) -> Option<(Exact, bool)> {
    let new = asking.new?;
    match asking.feature.shape {
        Shape::Shaft | Shape::Wall => Some((value - new.max?, true)),
        Shape::Bore => Some((new.min? - value, false)),
        // A gap, a length or a volume past new is no warm part: how it is assembled decides it.
        Shape::Grows | Shape::Shrinks | Shape::Either => None,
    }
}

/// How far past the new limit on the side that wear goes to; of diameters only.
pub(super) fn worn(asking: &Asking<'_>, value: Exact) -> Option<Exact> {
    let new = asking.new?;
    match asking.feature.shape {
        Shape::Shaft | Shape::Wall => Some(new.min? - value),
        Shape::Bore => Some(value - new.max?),
        Shape::Grows | Shape::Shrinks | Shape::Either => None,
    }
}

/// Past the new limit by more than `by`?
pub(super) fn is_past(asking: &Asking<'_>, reading: &Reading, by: Exact) -> bool {
    past(asking, reading.value).is_some_and(|(past, _)| by < past)
}

/// How much wear of a diameter reuse allows: from the worn new limit to the service limit. Where the sheet has no
/// service limit, a thousandth of the size (the widest rule of the general wear table, trade notes B) or twice the
/// width of the new limits, whichever is more. What is fresh has not worn: who finished it misses by no
/// more than the width of the limits.
pub(super) fn allowance(asking: &Asking<'_>) -> Option<Exact> {
    if asking.fresh {
        return asking.new.and_then(|new| new.width());
    }
    let service = asking.feature.row(Characteristic::Size).and_then(|row| row.service);
    let standard = asking.feature.new_limits(None);
    let side = |limits: Option<Limits>| match asking.feature.shape {
        Shape::Shaft | Shape::Wall => limits?.min,
        Shape::Bore => limits?.max,
        Shape::Grows | Shape::Shrinks | Shape::Either => None,
    };
    let new = side(standard)?;
    let allowed = side(service).map(|service| (service - new).abs());
    let generic = || new.part(1, 1000).max(standard.and_then(|s| s.width()).unwrap_or(Exact::ZERO) * 2);
    Some(allowed.filter(|allowed| *allowed > Exact::ZERO).unwrap_or_else(generic))
}

/// Not past new, and no further worn than so many times what reuse allows.
pub(super) fn is_near(asking: &Asking<'_>, value: Exact, times: i32) -> bool {
    let worn = worn(asking, value).zip(allowance(asking));
    let past = past(asking, value);
    past.is_some_and(|(past, _)| past <= Exact::ZERO)
        && worn.is_some_and(|(worn, allowance)| worn <= allowance * times)
}
