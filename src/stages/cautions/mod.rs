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

pub use at_hand::{Step, asked_next, at_hand, of_deed, of_order, of_work};
pub use doing::Doing;
pub use hazard::Hazard;
pub use kinds::{Handled, Look, Work};
pub use worded::{Caution, cautions};

/// What stands with every caution.
pub const REMINDER: &str = "These are shop reminders. Local codes, the equipment maker's instructions and licensed or qualified \
                            practice govern; where they differ, follow them and not this page.";
