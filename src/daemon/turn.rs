//! One turn of the loop, and its clean end.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::take_in::Taken;
use std::time::Duration;

impl House {
    /// One turn: everything that can be done now is done. Gives what was taken in and when it is worth
    /// turning again at the latest. A folder that is away does not keep letters from going out.
    ///
    /// # Errors
    /// The first step that failed; what was done before it stands, what comes after it is done by the next turn.
    pub fn turn(&mut self) -> Result<Taken, DaemonError> {
        let taken = self.take_in();
        if taken.as_ref().is_err_and(|error| !error.is_away()) {
            return taken;
        }
        let is_backlog = taken.as_ref().is_ok_and(|taken| taken.more);
        let more_owed = self.pay(is_backlog)?;
        self.let_go()?;
        self.summarise()?;
        self.note()?;
        self.hand_over()?;
        if taken.is_ok() {
            self.print(false)?;
        }
        taken.map(|taken| Taken { more: taken.more || more_owed, ..taken })
    }

    /// Ends cleanly: letters in flight get a moment, pages are written, the log is folded into the ledger.
    ///
    /// # Errors
    /// The ledger could not fold its log; nothing is lost by it.
    pub fn close(mut self, within: Duration) -> Result<(), DaemonError> {
        self.post.stop(within);
        let noted = self.note();
        let printed = self.print(true);
        self.ledger.checkpoint()?;
        noted.and(printed)
    }
}
