//! Teardown, steps 4, 5 and 7 of the trade notes: every part accounted for, every bag counted, clean.
//!
//! One file a rule. Each asks for parts by position and for pieces by size, as the sheet lists them.
//!
//! What was seen on the parts is the business of inspection, not of this gate.

mod bagged;
mod cleaned;
mod pins_out;
mod plugs_out;
mod stripped;

pub(super) use bagged::blockers as bagged;
pub(super) use cleaned::blockers as cleaned;
pub(super) use pins_out::blockers as pins_out;
pub(super) use plugs_out::blockers as plugs_out;
pub(super) use stripped::blockers as stripped;
