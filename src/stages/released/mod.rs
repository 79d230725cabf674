//! Released, steps 23 to 25 of the trade notes: primed, started, priced, paid, old parts offered.

mod old_parts;
mod paid;
mod priced;

pub(super) use old_parts::blockers as old_parts;
pub(super) use paid::blockers as paid;
pub(super) use priced::blockers as priced;
