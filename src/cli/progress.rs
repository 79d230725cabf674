//! Progress of work that takes longer than a second: one line that is written over on a terminal, nothing in a pipe.
#![expect(clippy::print_stderr, reason = "progress goes to the terminal beside the answer")]

use crate::clock::{Clock as _, SystemClock};
use std::io::{self, IsTerminal as _, Write as _};
use std::time::Duration;

/// A line of progress.
pub(super) struct Progress {
    what: &'static str,
    shown: bool,
    last_percent: u64,
    began: Duration,
    clock: SystemClock,
}

/// Work that is done sooner needs no word about it.
const SOON: Duration = Duration::from_secs(1);

impl Progress {
    /// Shown only when standard error is a terminal.
    pub(super) fn new(what: &'static str) -> Self {
        let clock = SystemClock::new();
        let began = clock.since_start();
        Self { what, shown: io::stderr().is_terminal(), last_percent: u64::MAX, began, clock }
    }

    /// So much of so much is done.
    pub(super) fn at(&mut self, done: u64, all: u64) {
        let percent = (done * 100).checked_div(all).unwrap_or(100);
        let is_soon = self.clock.since_start().saturating_sub(self.began) < SOON;
        if self.shown && percent != self.last_percent && !is_soon {
            self.last_percent = percent;
            eprint!("\r{} {percent} %", self.what);
            io::stderr().flush().unwrap_or_default();
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.shown && self.last_percent != u64::MAX {
            eprintln!();
        }
    }
}
