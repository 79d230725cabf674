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
