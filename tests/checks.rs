//! Answers from outside that the arithmetic must meet, one file a kind: published worked examples, certified data,
//! tables of standards, and numbers computed by other programs.
//!
//! Each test names its row (P1.1 and so on) and where the answer comes from, and says how we know it: READ, the number
//! was read in a stored public text; RECALLED, it was written down from memory of the named document, and the
//! arithmetic done again; COMPUTED, it was computed apart from this project, with the library named. The same
//! arithmetic is held against thousands of random cases of other libraries in `peer_numbers.rs`.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "checks/assignment.rs"]
mod assignment;
#[path = "checks/bearing.rs"]
mod bearing;
#[path = "checks/bolts.rs"]
mod bolts;
#[path = "checks/decision.rs"]
mod decision;
#[path = "checks/desk.rs"]
mod desk;
#[path = "checks/effects.rs"]
mod effects;
#[path = "checks/engine.rs"]
mod engine;
#[path = "checks/fits.rs"]
mod fits;
#[path = "checks/formats.rs"]
mod formats;
#[path = "checks/geometry.rs"]
mod geometry;
#[path = "checks/length.rs"]
mod length;
#[path = "checks/letters.rs"]
mod letters;
#[path = "checks/statistics.rs"]
mod statistics;
#[path = "checks/studies.rs"]
mod studies;
mod support;

/// Holds a number against the expected one within a tolerance, and names what it is.
#[track_caller]
fn near(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got}, not {expected} within {tolerance}");
}

/// Rows of the list of outside answers, by section and letter; sections without letters are one table each.
const ROWS: [(&str, &str); 30] = [
    ("P1.1", "abcdefghij"),
    ("P1.2", ""),
    ("P1.3", "abcdefg"),
    ("P1.4", "abcdefg"),
    ("P1.5", "abcdefg"),
    ("P2.1", "abcdef"),
    ("P2.2", "ab"),
    ("P2.3", "ab"),
    ("P2.4", "abcd"),
    ("P3.1", "abcdefghijklmnopqrstuv"),
    ("P3.2", ""),
    ("P3.3", ""),
    ("P4", "abcde"),
    ("P5.1", "abcde"),
    ("P5.2", "abc"),
    ("P5.3", "abcd"),
    ("P6", "abcdefghijklmn"),
    ("P7.1", "abcde"),
    ("P7.2", "abcd"),
    ("P8.1", "abcd"),
    ("P8.2", ""),
    ("P8.3", "abc"),
    ("P9", "abcde"),
    ("P10", "abcdefg"),
    ("P11.1", ""),
    ("P11.2", ""),
    ("P11.3", ""),
    ("P11.4", ""),
    ("P5.3 vee", ""),
    ("P9, exact conversions", ""),
];

/// A row that no test names is a row nobody checks.
#[test]
fn every_row_is_named_by_a_test() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/checks");
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let texts: String =
        files.filter(|path| path.is_file()).map(|path| std::fs::read_to_string(path).unwrap()).collect();
    let is_named = |row: &str| {
        let mut after = texts.match_indices(row).map(|(at, _)| texts[at + row.len()..].chars().next());
        after.any(|next| next.is_none_or(|next| !next.is_alphanumeric()))
    };
    let lettered = |(section, letters): &(&str, &str)| match letters.len() {
        0 => vec![(*section).to_owned()],
        _ => letters.chars().map(|letter| format!("{section}{letter}")).collect(),
    };
    let rows: Vec<String> = ROWS.iter().flat_map(lettered).collect();
    let missing: Vec<&String> = rows.iter().filter(|row| !is_named(row)).collect();
    assert!(missing.is_empty(), "no test names {missing:?}");
}
