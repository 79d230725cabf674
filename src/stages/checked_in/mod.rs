//! Checked in, steps 1 to 3 of the trade notes: received, tried, and leave to take it apart.

mod authority;
mod received;
mod stored;

pub(super) use authority::blockers as authority;
pub(super) use received::blockers as received;
pub(super) use stored::blockers as stored;
