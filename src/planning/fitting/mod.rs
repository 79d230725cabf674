//! Selective fitting: which of the parts at hand goes where, so that every clearance comes out right.
//!
//! [`fitting`] answers for an engine whose sizes are known and that is not together yet: shells to journals (`shells`),
//! new pistons and other single parts to their bores, rings to bores, and what is taken off to match weights. Each
//! place says what it will come to, how sure that is, and what decided.
//!
//! Only new parts are free. A used piston, cap, rod, lifter or pushrod keeps its place: it has worn to it.
//!
//! Nothing here says what is machined or ordered, and nothing moves a part: people do.

mod assign;
mod graded;
mod half_steps;
mod rings;
mod shells;
mod singles;
mod sizes;
mod weights;

pub use assign::assign;
pub use graded::GradedShell;
pub use half_steps::HalfSteps;
pub use rings::{RingHere, RingPlace, RingSet};
pub use shells::{ShellChoice, ShellPlace, ShellSet, Why};
pub use singles::{SinglePlace, SingleSet};
pub use weights::{WeightPlace, WeightSet};

use crate::facts::Step;
use crate::judgement::{Judgement, Measured};
use crate::shop::Job;

/// What to fit where.
#[derive(Clone, Debug, Default)]
pub struct Fitting {
    /// Shells, one entry a pair of the sheet that has walls.
    pub shells: Vec<ShellSet>,
    /// New single parts to bores, one entry a pair that has one to place.
    pub singles: Vec<SingleSet>,
    /// Rings, one entry a groove.
    pub rings: Vec<RingSet>,
    /// Weights of matched sets.
    pub weights: Vec<WeightSet>,
}

impl Fitting {
    /// Nothing to say.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.shells.is_empty() && self.singles.is_empty() && self.rings.is_empty() && self.weights.is_empty()
    }
}

/// What to fit where; nothing before the inspection is done or some work is agreed, and nothing once the engine is
/// together or set aside.
#[must_use]
pub fn fitting(job: &Job, judgement: &Judgement) -> Fitting {
    let is_known = !job.agreed.is_empty() || job.signed.contains_key(&Step::Inspection);
    if !is_known || job.is_together_or_aside() {
        return Fitting::default();
    }
    let measured = Measured::of(job, judgement);
    let Some((measured, sheet)) = measured.zip(job.sheet.as_deref()) else { return Fitting::default() };
    let mut shells = shells::fit(job, sheet, &measured);
    for set in &mut shells {
        set.graded = graded::graded(sheet, set);
    }
    Fitting {
        shells,
        singles: singles::fit(job, sheet, &measured),
        rings: rings::fit(job, sheet, &measured),
        weights: weights::fit(job, sheet, &measured),
    }
}
