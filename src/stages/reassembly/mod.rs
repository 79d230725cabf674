//! Reassembly, steps 17 to 22 of the trade notes: measured as fitted, new where it must be, tightened, nothing left over.
//!
//! One file a rule. Of a joint the last tightening of each stage at each bolt speaks; see [`stages_of`].
//!
//! Checks by a second person are checks of the sheet like any other; see [`super::checked`].

mod all_came;
mod always_new;
mod as_fitted;
mod bags_used;
mod final_torque;
mod fitted;
mod good_wrench;
mod lubricant;
mod new_bolts;
mod not_again;
mod own_order;
mod pins_in;
mod problems;
mod stages_of;
mod torqued;
mod under_new_bolts;

pub(super) use all_came::blockers as all_came;
pub(super) use always_new::blockers as always_new;
pub(super) use as_fitted::blockers as as_fitted;
pub(super) use bags_used::blockers as bags_used;
pub(super) use final_torque::blockers as final_torque;
pub(super) use fitted::blockers as fitted;
pub(super) use good_wrench::blockers as good_wrench;
pub(super) use lubricant::blockers as lubricant;
pub(super) use new_bolts::blockers as new_bolts;
pub(super) use not_again::blockers as not_again;
pub(super) use own_order::blockers as own_order;
pub(super) use pins_in::blockers as pins_in;
pub(super) use problems::blockers as problems;
pub(super) use torqued::blockers as torqued;
pub(super) use under_new_bolts::blockers as under_new_bolts;
