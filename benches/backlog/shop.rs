//! benchdrop itself on the backlog: the daemon's own house, turned in this process, with an onlooker at its steps.

use super::drops::{JOBS, beforehand};
use super::yardsticks::lay_out;
use benchdrop::clock::{Clock, HandClock, SystemClock};
use benchdrop::config::Config;
use benchdrop::daemon::{DaemonError, House, Setup, Step, Steps};
use benchdrop::intake;
use benchdrop::ledger::Ledger;
use std::fs;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// The time of one backlog, by its parts.
#[derive(Default)]
pub(super) struct Round {
    pub(super) claimed: Duration,
    pub(super) committed: Duration,
    pub(super) filed: Duration,
    pub(super) judged: Duration,
    pub(super) letters: usize,
}

impl Round {
    pub(super) fn whole(&self) -> Duration {
        self.claimed + self.committed + self.filed + self.judged
    }
}

/// When each step was reached, by the machine's clock.
#[derive(Clone, Default)]
struct Onlooker {
    clock: SystemClock,
    seen: Arc<Mutex<Vec<(Step, Duration)>>>,
}

impl Onlooker {
    /// What was seen since the last call.
    fn take(&self) -> Vec<(Step, Duration)> {
        std::mem::take(&mut *self.seen.lock().unwrap())
    }
}

impl Steps for Onlooker {
    fn after(&mut self, step: Step) -> Result<(), DaemonError> {
        self.seen.lock().unwrap().push((step, self.clock.since_start()));
        Ok(())
    }
}

/// Takes the backlog in, in a new shop in this folder.
pub(super) fn measure(folder: &Path, backlog: &[(String, String)]) -> Round {
    let watch_folder = folder.join("watch-folder");
    intake::lay_out(&watch_folder).unwrap();
    fs::create_dir(folder.join("ledger")).unwrap();
    fs::create_dir(folder.join("letters")).unwrap();
    let drop = watch_folder.join(intake::DROP);
    let onlooker = Onlooker::default();
    let clock = Arc::new(HandClock::at("2026-03-10T12:00:00Z".parse().unwrap()));
    let mut house = open(folder, &clock, &onlooker);

    let beforehand: Vec<(String, String)> =
        beforehand().into_iter().enumerate().map(|(n, text)| (format!("before-{n:03}.json"), text)).collect();
    lay_out(&drop, &beforehand);
    assert_eq!(take_all(&mut house, &clock), beforehand.len());
    let letters_before =
        Ledger::read_only(&folder.join("ledger/benchdrop.db")).unwrap().letters().unwrap().len();

    lay_out(&drop, backlog);
    // Found, and settled by the shop's clock; from here on the time counts.
    house.turn().unwrap();
    clock.advance(Duration::from_secs(2));
    onlooker.take();
    let began = onlooker.clock.since_start();
    let taken = house.turn().unwrap();
    let mut filed = taken.filed;
    let mut more = taken.more;
    while more {
        let taken = house.turn().unwrap();
        (filed, more) = (filed + taken.filed, taken.more);
    }
    assert_eq!(filed, backlog.len(), "every drop is filed");
    let mut round = parts(began, &onlooker.take());
    let ledger = Ledger::read_only(&folder.join("ledger/benchdrop.db")).unwrap();
    let held = usize::try_from(ledger.letters_held().unwrap()).unwrap();
    round.letters = ledger.letters().unwrap().len() + held - letters_before;
    assert!(JOBS / 2 < round.letters, "only {} letters are queued or held", round.letters);
    house.close(Duration::ZERO).unwrap();
    round
}

fn open(folder: &Path, clock: &Arc<HandClock>, onlooker: &Onlooker) -> House {
    let text = "site = \"main\"\ntimezone = \"Etc/UTC\"\nsummary-at = \"23:00\"\nwatch-folder = \"watch-folder\"\n\
                ledger = \"ledger/benchdrop.db\"\n[letters]\nfrom = \"benchdrop@shop.example\"\nto = \"folder\"\n";
    let config = Config::parse(text, folder).unwrap();
    let clock = Arc::clone(clock) as Arc<dyn Clock>;
    House::open(
        config,
        Setup { clock, wake: Arc::new(|| {}), steps: Box::new(onlooker.clone()), patient: true },
    )
    .unwrap()
}

/// Turns until nothing is taken any more, and letters are gone and pages written.
fn take_all(house: &mut House, clock: &HandClock) -> usize {
    let (mut filed, mut idle) = (0, 0);
    while idle < 3 || house.posting() > 0 {
        let taken = house.turn().unwrap();
        filed += taken.filed;
        idle = if taken.filed > 0 || taken.more { 0 } else { idle + 1 };
        clock.advance(Duration::from_secs(3));
    }
    filed
}

/// The time up to each step counts for that step; pages and the way of letters are not part of the figure.
fn parts(began: Duration, seen: &[(Step, Duration)]) -> Round {
    let (mut round, mut at) = (Round::default(), began);
    for (step, time) in seen {
        let part = time.saturating_sub(at);
        at = *time;
        match step {
            Step::Claimed => round.claimed += part,
            Step::Committed => round.committed += part,
            Step::FiledAway => round.filed += part,
            Step::Refolded => round.judged += part,
            Step::LetGo | Step::Summarised | Step::Posted | Step::Noted | Step::Printed => {}
        }
    }
    round
}
