//! The one place that prints.
#![expect(clippy::print_stderr, reason = "the command line speaks to a terminal; nothing else does")]

use std::error::Error;
use std::io::{self, Write as _};

/// Prints an answer. A reader that went away, `| head`, is no trouble.
pub(super) fn say(text: &str) {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).unwrap_or_default();
}

/// Prints a trouble and its causes.
pub(super) fn complain(error: &dyn Error) {
    eprintln!("benchdrop: {error}");
    let mut cause = error.source();
    while let Some(error) = cause {
        eprintln!("  because: {error}");
        cause = error.source();
    }
}

/// Starts the log on standard error; `BENCHDROP_LOG` is not read, the level is fixed so that every shop's log says
/// the same things.
pub(super) fn start_log(json: bool) {
    let log = tracing_subscriber::fmt()
        .with_writer(io::stderr)
        .with_max_level(tracing::Level::INFO)
        .with_ansi(false);
    // A second start, in a test, keeps the first log.
    if json { log.json().try_init().unwrap_or_default() } else { log.try_init().unwrap_or_default() }
}
