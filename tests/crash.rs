//! Stopped after every single step of a run, and started again: the same end state, nothing lost, nothing twice.
//! Guards promises 1, 2, 3 and 8. The same walk with a mail relay is in `tests/peer_smtp.rs`.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

#[path = "support/house.rs"]
mod house;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;
#[path = "support/walk.rs"]
mod walk;

use walk::{ToFolder, script, walk};

#[test]
fn stopped_after_each_step_the_end_is_the_same() {
    let walked = walk([&ToFolder, &ToFolder], &script());
    println!("{} stops: {:?}", walked.stops.values().sum::<usize>(), walked.stops);
    assert_eq!(walked.stops.len(), 8, "a kind of step was never reached: {:?}", walked.stops);
}
