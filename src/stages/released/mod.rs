//! Released, steps 23 to 25 of the trade notes: all heard, priced, paid, old parts offered.
//!
//! One file a rule. The price is held against what was approved, what is owed against deposits and payments.
//!
//! Priming and the first start are checks of the sheet like any other (see [`super::checked`]), but for their order.

mod before_start;
mod held;
mod old_parts;
mod paid;
mod priced;

pub(super) use before_start::blockers as before_start;
pub(super) use held::blockers as held;
pub(super) use old_parts::blockers as old_parts;
pub(super) use paid::blockers as paid;
pub(super) use priced::blockers as priced;
