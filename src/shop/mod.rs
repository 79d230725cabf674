//! The shop: what the accepted facts say, folded into jobs and shop-wide things.
//!
//! [`FactSet`] holds the statements of one job, or of the shop, by name. [`Shop::fold`] and [`Job::fold`] are
//! pure functions of such a set: no arrival, no clock, no earlier state goes in, so any order, any batching
//! and any repetition gives the same result (promise 3). Order among facts is recorded time, ties by digest.
//!
//! Folding resolves what facts say about each other: withdrawals, corrections, revisions, replaced parts,
//! the condition and size basis of each reading. What cannot be resolved yet is *held* with its reason and
//! does nothing until history answers. Nothing is judged here: whether a reading is good is asked further down.

mod corrections;
mod decisions;
mod held;
mod history;
mod job;
mod places;
mod readings;
mod set;
mod shop_wide;
mod surfaces;
mod void;

pub use decisions::{Accepted, Agreed, Signed};
pub use held::{Held, HeldWhy};
pub use job::Job;
pub use set::{FactSet, Named};
pub use shop_wide::{GaugeInUse, Shop};
pub use surfaces::{Condition, Done, Place, Reading, ReadingSet, SetKey, Surface, SurfaceKey};

/// The number of the rules in this program; printed with everything that leaves the house, so that a paper
/// can be matched to the code that judged it. Raised whenever the same facts could give another outcome.
pub const RULE_SET: u32 = 1;
