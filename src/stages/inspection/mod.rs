//! Inspection, steps 6 and 8 to 12 of the trade notes: looked at, tested, measured, decided, to be had, paid for.
//!
//! One file a rule. Crack tests and money come before any cut.
//!
//! Whether the cuts were made is the business of machining, not of this gate.

mod approved;
mod before_stripping;
mod decided;
mod denied;
mod disposed;
mod estimated;
mod looked_at;
mod measured;
mod obtainable;
mod questioned;
mod tested;

pub(super) use approved::{AND_MORE, blockers as approved};
pub(super) use before_stripping::blockers as before_stripping;
pub(super) use decided::{blocker_for, blockers as decided};
pub use denied::undecided;
pub(super) use disposed::blockers as disposed;
pub(super) use estimated::blockers as estimated;
pub(super) use looked_at::blockers as looked_at;
pub(super) use measured::{blockers as measured, missing};
pub(super) use obtainable::{blockers as obtainable, wanted};
pub(super) use questioned::blockers as questioned;
pub(super) use tested::{blockers as tested, by_another_way, is_cracked, passed_before, untested};
