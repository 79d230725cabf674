//! What a gate counted, as one line of the table that `tests/run` prints at its end; and which form of it runs.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]
#![allow(clippy::print_stdout, reason = "a gate says what it counted")]

use std::fs::OpenOptions;
use std::io::Write as _;

/// The long form is asked for: `BENCHDROP_LONG=1`. The short form always runs and stays under a minute.
pub fn is_long() -> bool {
    variable("BENCHDROP_LONG").is_some_and(|value| value == "1")
}

/// Adds a line to the table. A gate that failed never gets here, so what it lost, doubled or panicked over is what it
/// counted, not what it hopes.
pub fn report(gate: &str, counts: &[(&str, u64)], lost: u64, doubled: u64, panics: u64) {
    let counts: Vec<String> = counts.iter().map(|(what, n)| format!("{what} {n}")).collect();
    let line = format!("{gate}|{}|{lost}|{doubled}|{panics}\n", counts.join(", "));
    print!("{line}");
    if let Some(table) = variable("BENCHDROP_GATES") {
        // One write a line: gates of several processes append to one file.
        let mut table = OpenOptions::new().create(true).append(true).open(table).unwrap();
        table.write_all(line.as_bytes()).unwrap();
    }
}

/// What the environment says.
pub fn variable(name: &str) -> Option<String> {
    #[expect(clippy::disallowed_methods, reason = "tests/run, a person and a test say here what they want")]
    let value = std::env::var(name);
    value.ok()
}
