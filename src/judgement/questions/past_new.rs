//! Larger than a new shaft, or smaller than a new bore, of the size in hand by more than U.
//!
//! Asked against the size the surface was last finished to, and with the gauge's expanded uncertainty
//! allowed, else every reground crank would be questioned.

use super::{Asking, QuestionWhy};
use crate::metrology::{Exact, Figure};
use crate::sheets::Shape;
use crate::shop::Reading;

pub(super) fn why(asking: &Asking<'_>, reading: &Reading) -> Option<QuestionWhy> {
    let (past, larger) = past(asking, reading)?;
    let expanded = reading.gauge.as_ref().and_then(|g| g.figure).map_or(0.0, |f: Figure| 2.0 * f.combined());
    (past > Exact::ZERO && past.to_mm() > expanded).then(|| QuestionWhy::PastNew {
        by: format!("{} {}", past.show(asking.unit), asking.unit.symbol()),
        larger,
    })
}

/// How far past the new limit on the side that wear does not go to, and whether that side is larger.
fn past(asking: &Asking<'_>, reading: &Reading) -> Option<(Exact, bool)> {
    let new = asking.new?;
    match asking.feature.shape {
        Shape::Shaft | Shape::Wall => Some((reading.value - new.max?, true)),
        Shape::Bore => Some((new.min? - reading.value, false)),
        // A gap, a length or a volume past new is no warm part: how it is assembled decides it.
        Shape::Grows | Shape::Shrinks | Shape::Either => None,
    }
}

/// Past the new limit by more than `by`?
pub(super) fn is_past(asking: &Asking<'_>, reading: &Reading, by: Exact) -> bool {
    past(asking, reading).is_some_and(|(past, _)| by < past)
}

/// Not past new, and no further worn than twice the distance a reuse limit allows.
pub(super) fn is_near(asking: &Asking<'_>, value: Exact) -> bool {
    let Some((new, (min, max))) = asking.new.and_then(|new| Some((new, new.min.zip(new.max)?))) else {
        return false;
    };
    let service = asking.feature.row(crate::sheets::Characteristic::Size).and_then(|row| row.service);
    let allowed = match asking.feature.shape {
        Shape::Bore | Shape::Grows => {
            service.and_then(|s| s.max).zip(standard(asking).and_then(|n| n.max)).map(|(s, n)| s - n)
        }
        Shape::Shaft | Shape::Wall | Shape::Shrinks | Shape::Either => {
            standard(asking).and_then(|n| n.min).zip(service.and_then(|s| s.min)).map(|(n, s)| n - s)
        }
    };
    let allowed = allowed.or_else(|| new.width()).unwrap_or(Exact::ZERO) * 2;
    match asking.feature.shape {
        Shape::Bore | Shape::Grows => min <= value && value <= max + allowed,
        Shape::Shaft | Shape::Wall | Shape::Shrinks | Shape::Either => min - allowed <= value && value <= max,
    }
}

fn standard(asking: &Asking<'_>) -> Option<crate::sheets::Limits> {
    asking.feature.new_limits(None)
}
