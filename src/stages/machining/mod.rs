//! Machining, steps 13 to 16 of the trade notes: agreed, in hand, ordered, done, back, measured and tested again, clean, plugged.
//!
//! One file a rule. A machinist's tag is not a measurement, and a part that was cut is not what was tested before.
//!
//! What to cut, and to which size, is decided before; nothing here decides it.

mod agreed;
mod carried_out;
mod counted_back;
mod cut_too_soon;
mod demagnetised;
mod done;
mod in_hand;
mod ordered;
mod out;
mod plugs_in;
mod remeasured;
mod returned_size;
mod tested_again;

pub(super) use agreed::blockers as agreed;
pub(super) use carried_out::blockers as carried_out;
pub(super) use counted_back::blockers as counted_back;
pub(super) use cut_too_soon::blockers as cut_too_soon;
pub(super) use demagnetised::blockers as demagnetised;
pub(super) use done::blockers as done;
pub(super) use in_hand::blockers as in_hand;
pub(super) use ordered::{about, blockers as ordered, is_sent_by_word, works_metal};
pub(super) use out::blockers as out;
pub(super) use plugs_in::blockers as plugs_in;
pub(super) use remeasured::blockers as remeasured;
pub(super) use returned_size::blockers as returned_size;
pub(super) use tested_again::blockers as tested_again;
