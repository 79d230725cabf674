//! The walk over the steps: a clean run of the script is recorded, with a copy of the shop before each round; then, for
//! each step, the round is run up to there, the house is cut off as a power cut would, opened again, and run to the end
//! of the script. What the shop comes to must be what the clean run came to.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use crate::house::{Onlooker, Place};
use crate::script::{Paper, rounds};
use crate::state::{State, copy};
use benchdrop::daemon::{DaemonError, Step};
use benchdrop::outbox::IN_FLIGHT;
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::time::Duration;
use tempfile::TempDir;

/// Where the letters of a walk go.
pub trait Post: Sync {
    /// What stands under `[letters]` in the configuration.
    fn letters(&self) -> String;

    /// Brings what was delivered since the last time into the shop's `letters/`.
    fn collect(&self, shop: &Path);
}

/// Letters as files; a resend takes the name of the first.
pub struct ToFolder;

impl Post for ToFolder {
    fn letters(&self) -> String {
        "to = \"folder\"\nfolder = \"letters\"\n".to_owned()
    }

    fn collect(&self, _shop: &Path) {}
}

/// What a walk went through.
#[derive(Debug, Default)]
pub struct Walked {
    /// How often it was stopped after each kind of step.
    pub stops: BTreeMap<String, usize>,
    /// How many letters came twice; each was on its way when the house was stopped.
    pub twice: usize,
    /// The letters that left, without their dates.
    pub letters: Vec<String>,
}

/// Papers that come together, and how long it is then until the next come.
pub type Round = (Vec<Paper>, Duration);

/// The script, its rounds ten minutes apart: what is news soon after a letter gathers, and leaves in a later round. The
/// hour of the summary comes in the middle.
pub fn script() -> Vec<Round> {
    let rounds = rounds("2026-03-17T05:00:30Z".parse().unwrap()).into_iter().chain([vec![], vec![]]);
    rounds.map(|papers| (papers, Duration::from_secs(10 * 60))).collect()
}

/// When a walk begins.
const BEGIN: &str = "2026-03-20T06:15:00Z";

/// A shop before a round.
struct Before {
    folder: TempDir,
    now: Timestamp,
    /// The steps that the round took.
    steps: Vec<Step>,
}

/// Walks over every step of these rounds, with two threads, each with a post of its own.
pub fn walk(posts: [&dyn Post; 2], rounds: &[Round]) -> Walked {
    let (before, expected) = clean(posts[0], rounds);
    assert_eq!(expected.arrivals.len(), rounds.iter().map(|(papers, _)| papers.len()).sum::<usize>());
    assert!(expected.letters.len() >= 6, "{:#?}", expected.letters.keys());
    let all = before.iter().enumerate();
    let points: Vec<(usize, usize)> =
        all.flat_map(|(round, before)| worth_a_stop(&before.steps).map(move |step| (round, step))).collect();
    let try_every_other = |which: usize| {
        let mut walked = Walked::default();
        for (round, step) in points.iter().copied().skip(which).step_by(2) {
            let (stopped, state, twice) = stopped_at(posts[which], &before[round], &rounds[round..], step);
            let when = format!("stopped in round {round} after step {step}, {stopped:?}");
            assert_eq!(state, expected, "{when}");
            assert!(
                twice == 0 || twice <= IN_FLIGHT && is_on_its_way(&before[round].steps[..step]),
                "{twice} letters twice, {when}"
            );
            walked.twice += twice;
            *walked.stops.entry(format!("{stopped:?}")).or_default() += 1;
        }
        walked
    };
    let letters = expected.letters.values().cloned().collect();
    std::thread::scope(|scope| {
        let other = scope.spawn(|| try_every_other(1));
        let mut walked = try_every_other(0);
        let more = other.join().unwrap();
        walked.twice += more.twice;
        for (step, times) in more.stops {
            *walked.stops.entry(step).or_default() += times;
        }
        walked.letters = letters;
        walked
    })
}

/// Every step, from 1; but of a long row of letters, sent two by two, only the first and the last few.
fn worth_a_stop(steps: &[Step]) -> impl Iterator<Item = usize> {
    const FEW: usize = 4;
    let in_a_row = |at: usize| {
        let around = steps.get(at.saturating_sub(FEW)..(at + FEW + 1).min(steps.len())).unwrap_or_default();
        around.len() == 2 * FEW + 1 && around.iter().all(|step| matches!(step, Step::Posted | Step::Noted))
    };
    (0..steps.len()).filter(move |at| !in_a_row(*at)).map(|at| at + 1)
}

/// True when letters had been handed over, and what became of them had not been noted.
fn is_on_its_way(steps: &[Step]) -> bool {
    steps.iter().rev().find(|step| matches!(step, Step::Posted | Step::Noted)) == Some(&Step::Posted)
}

/// The clean run: the shop before each round, and what it comes to.
fn clean(post: &dyn Post, rounds: &[Round]) -> (Vec<Before>, State) {
    let shop = TempDir::new().unwrap();
    let place = Place::lay_out(shop.path(), &post.letters());
    let mut now: Timestamp = BEGIN.parse().unwrap();
    let mut before = Vec::new();
    for (papers, then) in rounds {
        let folder = TempDir::new().unwrap();
        copy(shop.path(), folder.path());
        place.drop_in(papers);
        let onlooker = Onlooker::default();
        let mut open = place.open(now, &onlooker).unwrap();
        open.rest().unwrap();
        let steps = onlooker.seen();
        let next = open.close().checked_add(*then).unwrap();
        post.collect(shop.path());
        before.push(Before { folder, now, steps });
        now = next;
    }
    let state = State::of(shop.path(), "the clean run");
    assert_eq!(n_delivered(shop.path()), state.letters.len(), "undisturbed, each letter goes out once");
    (before, state)
}

/// The same shop begun anew from a copy, stopped at one step, and run to the end. Gives the step, the end state and
/// how many letters came more than once.
fn stopped_at(post: &dyn Post, before: &Before, rounds: &[Round], stop: usize) -> (Step, State, usize) {
    let shop = TempDir::new().unwrap();
    let place = Place::lay_out(shop.path(), &post.letters());
    copy(before.folder.path(), shop.path());
    let step = run(&place, before.now, rounds, stop);
    post.collect(shop.path());
    let state = State::of(shop.path(), &format!("stopped after step {stop}, {step:?}"));
    let twice = n_delivered(shop.path()) - state.letters.len();
    (step, state, twice)
}

/// Runs rounds; after so many steps the house is cut off and opened again. Gives the step.
fn run(place: &Place, now: Timestamp, rounds: &[Round], stop: usize) -> Step {
    let mut stopped = None;
    let mut open = place.open(now, &Onlooker::stopping_after(stop)).unwrap();
    for (papers, then) in rounds {
        place.drop_in(papers);
        if let Err(error) = open.rest() {
            let DaemonError::Stopped(step) = error else { panic!("{error}") };
            assert_eq!(stopped.replace(step), None, "stopped once already");
            open = place.open(open.cut(), &Onlooker::default()).unwrap();
            open.rest().unwrap();
        }
        open.clock.advance(*then);
    }
    open.close();
    stopped.unwrap()
}

fn n_delivered(shop: &Path) -> usize {
    fs::read_dir(shop.join("letters")).unwrap().count()
}
