//! Stopped after every single step of a run, and started again: the same end state, nothing lost, nothing twice.
//! Guards promises 1, 2, 3 and 8.
//!
//! A clean run of the script is recorded first: how many steps each round takes, and a copy of the shop before it.
//! Then, for each step, the round is run up to there, the house is dropped as a power cut would drop it, opened
//! again, and run to the end of the script. What the shop comes to must be what the clean run came to.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/house.rs"]
mod house;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::daemon::{DaemonError, Step};
use house::{Onlooker, Place};
use jiff::Timestamp;
use script::{Paper, rounds};
use state::{State, copy};
use std::collections::BTreeMap;
use std::time::Duration;
use tempfile::TempDir;

const LETTERS: &str = "to = \"folder\"\nfolder = \"letters\"\n";

/// Rounds lie this far apart, so that the hour of the summary comes in the middle of the script.
const BETWEEN_ROUNDS: Duration = Duration::from_secs(40 * 60);

fn begin() -> Timestamp {
    "2026-03-17T05:00:30Z".parse().unwrap()
}

/// A shop before a round: its folder, and the time.
struct Before {
    folder: TempDir,
    now: Timestamp,
    /// How many steps the round took.
    steps: Vec<Step>,
}

/// Runs rounds; after so many steps the house is cut off and opened again. Gives the step.
fn run(place: &Place, now: Timestamp, rounds: &[Vec<Paper>], stop: usize) -> Step {
    let mut stopped = None;
    let mut open = place.open(now, &Onlooker::stopping_after(stop)).unwrap();
    for papers in rounds {
        place.drop_in(papers);
        if let Err(error) = open.rest() {
            let DaemonError::Stopped(step) = error else { panic!("{error}") };
            assert_eq!(stopped.replace(step), None, "stopped once already");
            open = place.open(open.cut(), &Onlooker::default()).unwrap();
            open.rest().unwrap();
        }
        open.clock.advance(BETWEEN_ROUNDS);
    }
    open.close();
    stopped.unwrap()
}

/// The clean run: the shop before each round, and what it comes to.
fn clean(rounds: &[Vec<Paper>]) -> (Vec<Before>, State) {
    let shop = TempDir::new().unwrap();
    let place = Place::lay_out(shop.path(), LETTERS);
    let mut now: Timestamp = "2026-03-20T05:00:00Z".parse().unwrap();
    let mut before = Vec::new();
    for papers in rounds {
        let folder = TempDir::new().unwrap();
        copy(shop.path(), folder.path());
        place.drop_in(papers);
        let onlooker = Onlooker::default();
        let mut open = place.open(now, &onlooker).unwrap();
        open.rest().unwrap();
        let steps = onlooker.seen();
        let next = open.close().checked_add(BETWEEN_ROUNDS).unwrap();
        before.push(Before { folder, now, steps });
        now = next;
    }
    (before, State::of(shop.path(), "the clean run"))
}

/// The same shop begun anew from a copy, stopped at one step, and run to the end.
fn stopped_at(before: &Before, rounds: &[Vec<Paper>], step: usize) -> (Step, State) {
    let shop = TempDir::new().unwrap();
    let place = Place::lay_out(shop.path(), LETTERS);
    copy(before.folder.path(), shop.path());
    let stopped = run(&place, before.now, rounds, step);
    (stopped, State::of(shop.path(), &format!("stopped after step {step}, {stopped:?}")))
}

#[test]
fn stopped_after_each_step_the_end_is_the_same() {
    let rounds = rounds(begin());
    let (before, expected) = clean(&rounds);
    assert_eq!(expected.arrivals.len(), rounds.iter().map(Vec::len).sum::<usize>());
    assert!(expected.letters.len() >= 6, "{:#?}", expected.letters.keys());
    let points: Vec<(usize, usize)> = before
        .iter()
        .enumerate()
        .flat_map(|(round, before)| (1..=before.steps.len()).map(move |step| (round, step)))
        .collect();
    let tried = std::thread::scope(|scope| {
        let (before, rounds, expected) = (&before, &rounds, &expected);
        let (first, second) = points.split_at(points.len() / 3);
        let try_all = move |points: &[(usize, usize)]| {
            let mut tried: BTreeMap<String, usize> = BTreeMap::new();
            for (round, step) in points {
                let (stopped, state) = stopped_at(&before[*round], &rounds[*round..], *step);
                assert_eq!(state, *expected, "stopped in round {round} after step {step}, {stopped:?}");
                *tried.entry(format!("{:?}", stopped)).or_default() += 1;
            }
            tried
        };
        let other = scope.spawn(move || try_all(second));
        let mut tried = try_all(first);
        for (step, times) in other.join().unwrap() {
            *tried.entry(step).or_default() += times;
        }
        tried
    });
    println!("stopped {} times: {tried:?}", points.len());
    assert_eq!(tried.len(), 8, "a kind of step was never reached: {tried:?}");
}
