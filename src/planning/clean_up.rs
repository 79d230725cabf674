//! Whether a bore or journal will clean up, and at which size.
//!
//! Formulas of trade notes B4: the safe estimate keeps the axis the surface was first made on, with all wear
//! on one side; the optimistic one follows the worn surface.

use crate::metrology::Exact;
use crate::sheets::{Limits, Shape, SizeSeries};

/// What one surface needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CleanUp {
    /// Size to finish to on the original axis: a bore at least this, a shaft at most this.
    pub safe: Exact,
    /// The same on the worn axis.
    pub optimistic: Exact,
}

/// The clean-up estimates of a surface read as `readings`, unworn size `original`, with `stock` taken off the
/// diameter beside the wear. `None` of no readings, and of what is not machined to a diameter.
///
/// Bore: safe = D_orig + 2 max(D_i - D_orig) + s, optimistic = max D_i + s.
/// Journal: safe = min(D_orig - 2 (D_orig - D_i)) - s, optimistic = min D_i - s; a shaft that runs out by TIR
/// needs that much more (not known here).
#[must_use]
pub fn clean_up(shape: Shape, readings: &[Exact], original: Exact, stock: Exact) -> Option<CleanUp> {
    match shape {
        Shape::Bore => {
            let largest = readings.iter().copied().max()?;
            Some(CleanUp { safe: original + (largest - original) * 2 + stock, optimistic: largest + stock })
        }
        Shape::Shaft => {
            let smallest = readings.iter().copied().min()?;
            Some(CleanUp { safe: original - (original - smallest) * 2 - stock, optimistic: smallest - stock })
        }
        Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => None,
    }
}

/// The smallest step of the list, past the size in hand, whose finished limits clean up: a bore whose lower
/// finished limit is at least the estimate, a shaft whose upper one is at most it. Select-fit steps are no
/// sizes to machine to.
pub(super) fn smallest_step(
    series: &SizeSeries,
    shape: Shape,
    estimate: Exact,
    in_hand: Option<Exact>,
) -> Option<Exact> {
    let cleans = |finished: Limits| match shape {
        Shape::Bore => finished.min.is_some_and(|min| estimate <= min),
        Shape::Shaft => finished.max.is_some_and(|max| max <= estimate),
        Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => false,
    };
    let past = |step: &&Exact| in_hand.is_none_or(|hand| hand < **step);
    series.steps.iter().filter(past).find(|step| cleans(series.finished(**step))).copied()
}
