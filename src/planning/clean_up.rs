//! Whether a bore or journal will clean up, and at which size.
//!
//! Two estimates: the safe one keeps the axis the surface was first made on, with all wear on one side; the optimistic one
//! follows the worn surface (common practice).

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

/// One place: its diameter, and how deep a score lies below the wall there (zero without one).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Diameter.
    pub diameter: Exact,
    /// Depth of a score.
    pub score: Exact,
}

/// The clean-up estimates of a surface with these spots, unworn size `original`, with `stock` taken off the diameter
/// beside the wear. `None` of no spots, and of what is not machined to a diameter.
///
/// Bore: safe = `D_orig` + 2 max(`D_i` - `D_orig` + `p_i`) + s, optimistic = max(`D_i` + 2 `p_i`) + s.
/// Journal: safe = min(`D_orig` - 2 (`D_orig` - `D_i` + `p_i`)) - TIR - s, optimistic = min(`D_i` - 2 `p_i`) - s, where a
/// shaft that is not straightened first runs out by TIR.
#[must_use]
pub fn clean_up(
    shape: Shape,
    spots: &[Spot],
    original: Exact,
    stock: Exact,
    run_out: Exact,
) -> Option<CleanUp> {
    match shape {
        Shape::Bore => {
            let deepest = spots.iter().map(|spot| spot.diameter - original + spot.score).max()?;
            let worn = spots.iter().map(|spot| spot.diameter + spot.score * 2).max()?;
            Some(CleanUp { safe: original + deepest * 2 + stock, optimistic: worn + stock })
        }
        Shape::Shaft => {
            let deepest = spots.iter().map(|spot| original - spot.diameter + spot.score).max()?;
            let worn = spots.iter().map(|spot| spot.diameter - spot.score * 2).min()?;
            Some(CleanUp { safe: original - deepest * 2 - run_out - stock, optimistic: worn - stock })
        }
        Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => None,
    }
}

/// An estimate with its uncertainty, seen from the end that asks for more metal or from the one that asks for less.
#[derive(Clone, Copy, Debug)]
pub(super) struct Estimated {
    /// The estimate.
    pub(super) size: Exact,
    /// U (k = 2), millimetres; nothing where no gauge was named.
    pub(super) expanded: f64,
}

/// The smallest step of the list past the size in hand whose finished limits clean up: a bore whose lower finished
/// limit is at least the estimate, a shaft whose upper one is at most it. Select-fit steps are no sizes to machine to.
pub(super) fn smallest_step(
    series: &SizeSeries,
    shape: Shape,
    estimate: Estimated,
    in_hand: Option<Exact>,
) -> Option<Exact> {
    let past = |step: &&Exact| in_hand.is_none_or(|hand| hand < **step);
    let cleans = |step: &&Exact| cleans_up(shape, series.finished(**step), estimate);
    series.steps.iter().filter(past).find(cleans).copied()
}

/// Does a surface that needs so much come out whole at these finished limits?
pub(super) fn cleans_up(shape: Shape, finished: Limits, estimate: Estimated) -> bool {
    let reaches = |limit: Exact, need: Exact| need.to_mm() + estimate.expanded <= limit.to_mm();
    match shape {
        Shape::Bore => finished.min.is_some_and(|min| reaches(min, estimate.size)),
        Shape::Shaft => finished.max.is_some_and(|max| reaches(-max, -estimate.size)),
        Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => false,
    }
}
