//! Checked in, steps 1 to 3 of the trade notes: received, and leave to take it apart.
//!
//! Nothing is taken apart before the customer gave leave. A job that was stopped waits here too, stored and preserved.
//!
//! Trying the engine before it comes apart is a check of the sheet like any other; see [`super::checked`].

mod authority;
mod received;
mod stored;

pub(super) use authority::blockers as authority;
pub(super) use received::blockers as received;
pub(super) use stored::blockers as stored;
