//! The durable steps of a turn, so that a test can count them and stop at each.

use crate::daemon::error::DaemonError;

/// A point of a turn after which the process may end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Papers were read; nothing is written.
    Claimed,
    /// Facts, arrivals and letters are in the ledger; papers still lie in the drop folder.
    Committed,
    /// Papers lie in filed or returned.
    FiledAway,
    /// Stale and due jobs were folded and committed.
    Refolded,
    /// Letters that were held for somebody are in the queue as one.
    LetGo,
    /// A summary is in the queue.
    Summarised,
    /// Letters were handed to the sender.
    Posted,
    /// What became of letters is noted.
    Noted,
    /// Pages are written.
    Printed,
}

/// Looks on at each step; the world of tests may stop there.
pub trait Steps: Send {
    /// Called right after the step. An error ends the turn there, as a power cut would.
    ///
    /// # Errors
    /// [`DaemonError::Stopped`] where the onlooker stops.
    fn after(&mut self, step: Step) -> Result<(), DaemonError>;
}

/// Nobody stops.
#[derive(Clone, Copy, Debug, Default)]
pub struct Uninterrupted;

impl Steps for Uninterrupted {
    fn after(&mut self, _: Step) -> Result<(), DaemonError> {
        Ok(())
    }
}
