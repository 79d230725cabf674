//! The one place that prints.
#![expect(clippy::print_stderr, reason = "the command line speaks to a terminal; nothing else does")]

use serde_json::Value;
use std::error::Error;
use std::io::{self, Write as _};

/// Prints an answer. What in a stranger's text would steer the terminal is shown as U+FFFD.
pub(super) fn say(text: &str) {
    print(&plain(text));
}

/// Prints an answer for programs. JSON can write any character by its number, so nothing of it is lost.
pub(super) fn say_json(answer: &Value) {
    let mut text = String::new();
    for c in format!("{answer:#}\n").chars() {
        if steers(c) {
            text.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            text.push(c);
        }
    }
    print(&text);
}

/// A reader that went away, `| head`, is no trouble.
fn print(text: &str) {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).unwrap_or_default();
}

fn plain(text: &str) -> String {
    text.chars().map(|c| if steers(c) { char::REPLACEMENT_CHARACTER } else { c }).collect()
}

/// Control characters, and those that turn the direction of writing.
fn steers(c: char) -> bool {
    (c.is_control() && c != '\n' && c != '\t')
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Prints a trouble and its causes.
pub(super) fn complain(error: &dyn Error) {
    eprintln!("benchdrop: {}", plain(&error.to_string()));
    let mut cause = error.source();
    while let Some(error) = cause {
        eprintln!("  because: {}", plain(&error.to_string()));
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
