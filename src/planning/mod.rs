//! Planning: from verdicts to a size that cleans up a whole group.
//!
//! For every size-class group of surfaces that can be machined, [`plan`] estimates what each position needs:
//! on the original axis (safe) and on the worn axis (optimistic), then the smallest size of the sheet's list
//! that cleans up *every* position of the group, since a group is machined alike. A group gets a proposal as
//! soon as one of its positions is beyond its limit. Where no size cleans up, that is the answer.
//!
//! Beside the sizes stand [`to_order`], what an engine takes new and nobody has ordered, and [`spent`], what it has
//! cost against its estimate.
//!
//! Proposals only. People decide, and what they agree is a fact. Scores are not known to this module yet, nor
//! are walls, run-out, availability and money: a proposal names what it did not look at.

mod clean_up;
mod group;
mod spent;
mod to_order;

pub use clean_up::{CleanUp, clean_up};
pub use group::{GroupPlan, Need, plan};
pub use spent::{Spent, spent};
pub use to_order::{ToOrder, to_order};
