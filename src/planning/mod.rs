//! Planning: from verdicts, findings and wishes to what could be done about the whole engine, and which of it is best.
//!
//! [`propose`] builds everything that could be done as a tree: a part is kept or given up; each size-class group comes to one
//! size; a position is machined to it, sleeved or built up, or nothing helps. `clean_up` and `need` say what one surface
//! needs: on the original axis (safe) and on the worn one (optimistic), with scores, run-out and U. `keeps` asks whether
//! what stays still fits its pair, `walls` what is left beside a bore, `prices` what things cost and whether they can be had.
//! `search` finds, exactly, the best by each aim; the wishes of the check-in choose the first.
//!
//! [`plan`] is the short form that alerts quote: the size that cleans up each group that has a position beyond its limit.
//! Beside the plan stand [`to_order`], what an engine takes new and nobody has ordered, and [`spent`], what it has cost
//! against its estimate.
//!
//! Proposals only. People decide, and what they agree is a fact.

mod afterwards;
mod at_size;
mod basis;
mod best;
mod buying;
mod clean_up;
pub mod effects;
mod fitting;
mod foreseen;
mod group;
mod holding;
mod keeps;
mod line;
mod need;
mod position;
mod prices;
mod proposal;
mod readings;
mod search;
mod single;
mod spent;
mod spoilt;
mod to_order;
mod walls;
mod ways;
mod weighing;
mod wished;

pub use afterwards::CRACK_TEST;
pub use at_size::Refused;
pub use basis::{asked_for, rests_on};
pub use best::best;
pub use clean_up::{CleanUp, Spot, clean_up};
pub use fitting::{
    Fitting, GradedShell, HalfSteps, RingHere, RingPlace, RingSet, ShellChoice, ShellPlace, ShellSet,
    SinglePlace, SingleSet, WeightPlace, WeightSet, Why, assign, fitting,
};
pub use foreseen::{Foreseen, foreseen_at};
pub use group::{GroupPlan, plan};
pub use line::{Deed, How, PlanLine};
pub use need::Need;
pub use prices::{Obtainable, Price};
pub use proposal::{Alternative, Proposal, Wish, propose};
pub use search::{Aim, Cost, TooMany, Way, Ways, front};
pub use spent::{Spent, spent};
pub use to_order::{ToOrder, to_order};
pub use walls::Wall;
