//! Cautions: what can hurt in the step at hand, in a short sentence, where the step is taken.
//!
//! [`Doing`] is the one table from what is to be done to what can hurt in it ([`Hazard`]); `kinds` tells people's words
//! apart, `at_hand` and `lifts` ask the gate what comes next, and `worded` says it of this engine: an iron head is not warned of the
//! caustic tank, a petrol engine not of running away. They are reminders and never block anything.

mod at_hand;
mod doing;
mod hazard;
mod kinds;
mod lifts;
mod worded;

use crate::sheets::{Metal, Part};

pub use at_hand::{Step, asked_next, at_hand, of_deed, of_order, of_work};
pub use doing::Doing;
pub use hazard::Hazard;
pub use kinds::{Handled, Look, Work};
pub use worded::{Caution, cautions};

/// What stands with every caution.
pub const REMINDER: &str = "These are shop reminders. Local codes, the equipment maker's instructions and licensed or qualified \
                            practice govern; where they differ, follow them and not this page.";

/// Does the part lie in what dissolves it: aluminium, magnesium or zinc in hot caustic (trade notes G)?
#[must_use]
pub fn is_dissolving(part: &Part, bath: &str) -> bool {
    let dissolves = part.is_aluminium() || part.metal.is_some_and(Metal::dissolves_in_caustic);
    dissolves && Work::all_of(bath).contains(&Work::Caustic)
}

/// What whoever hears of it does.
pub const DISSOLVING: &str = "TAKE IT OUT AT ONCE, with face shield, apron and gloves, and no flame near: hot caustic dissolves it and \
    gives off hydrogen";
