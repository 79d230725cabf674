//! Progress of long work: one line that is written over on a terminal, nothing in a pipe.
#![expect(clippy::print_stderr, reason = "progress goes to the terminal beside the answer")]

use std::io::{self, IsTerminal as _, Write as _};

/// A line of progress.
pub(super) struct Progress {
    what: &'static str,
    shown: bool,
    last_percent: u64,
}

impl Progress {
    /// Shown only when standard error is a terminal.
    pub(super) fn new(what: &'static str) -> Self {
        Self { what, shown: io::stderr().is_terminal(), last_percent: u64::MAX }
    }

    /// So much of so much is done.
    pub(super) fn at(&mut self, done: u64, all: u64) {
        let percent = (done * 100).checked_div(all).unwrap_or(100);
        if self.shown && percent != self.last_percent {
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
