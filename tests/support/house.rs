//! A shop inside the test: a house in a folder of its own, on a clock that the test turns, stopped where the test says.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

use crate::script::Paper;
use crate::state::left_in_drop;
use benchdrop::clock::{Clock as _, HandClock};
use benchdrop::config::Config;
use benchdrop::daemon::{DaemonError, House, Setup, Step, Steps};
use benchdrop::intake;
use jiff::Timestamp;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::Duration;

/// A shop in a folder.
pub struct Place {
    pub dir: PathBuf,
    /// What stands under `[letters]` in its configuration.
    letters: String,
}

impl Place {
    /// Lays a new shop out. `letters` is the TOML under `[letters]` without the sender.
    pub fn lay_out(dir: &Path, letters: &str) -> Self {
        for folder in ["ledger", "letters"] {
            fs::create_dir_all(dir.join(folder)).unwrap();
        }
        intake::lay_out(&dir.join("watch-folder")).unwrap();
        Self { dir: dir.to_owned(), letters: letters.to_owned() }
    }

    fn config(&self) -> Config {
        let text = format!(
            "site = \"main\"\ntimezone = \"Etc/UTC\"\nsummary-at = \"07:00\"\nwatch-folder = \"watch-folder\"\n\
             ledger = \"ledger/benchdrop.db\"\n[intake]\nsettle-seconds = 1.0\ngrace-seconds = 3.0\nwatch = false\n\
             [letters]\nfrom = \"benchdrop@shop.example\"\n{}",
            self.letters
        );
        Config::parse(&text, &self.dir).unwrap()
    }

    pub fn drop_in(&self, papers: &[Paper]) {
        for paper in papers {
            fs::write(self.dir.join("watch-folder/drop").join(&paper.name), &paper.bytes).unwrap();
        }
    }

    /// Opens the house as a daemon does, with somebody who looks on at each step.
    pub fn open(&self, now: Timestamp, onlooker: &Onlooker) -> Result<Open<'_>, DaemonError> {
        let clock = Arc::new(HandClock::at(now));
        let reports = Arc::new(AtomicUsize::new(0));
        let heard = Arc::clone(&reports);
        let setup = Setup {
            clock: Arc::clone(&clock) as Arc<_>,
            // Nothing is watched here, so whoever wakes us is the sender with a report.
            wake: Arc::new(move || {
                heard.fetch_add(1, Ordering::AcqRel);
            }),
            steps: Box::new(onlooker.clone()),
            patient: true,
        };
        House::open(self.config(), setup).map(|house| Open {
            place: self,
            clock,
            reports,
            house: Some(house),
        })
    }
}

/// An open house and its clock.
pub struct Open<'a> {
    place: &'a Place,
    pub clock: Arc<HandClock>,
    reports: Arc<AtomicUsize>,
    house: Option<House>,
}

impl Open<'_> {
    pub fn turn(&mut self) -> Result<(), DaemonError> {
        self.house.as_mut().unwrap().turn().map(|_| ())
    }

    /// Waits until every letter on its way is home, then turns once: as many turns in each run.
    fn post(&mut self) -> Result<(), DaemonError> {
        loop {
            let on_their_way = self.house.as_ref().unwrap().posting();
            if on_their_way == 0 {
                return Ok(());
            }
            self.hear(on_their_way);
            self.turn()?;
        }
    }

    /// Waits until the sender has reported so many more letters.
    pub fn hear(&self, reports: usize) {
        for _ in 0..60_000 {
            if self.reports.load(Ordering::Acquire) >= reports {
                self.reports.fetch_sub(reports, Ordering::AcqRel);
                return;
            }
            sleep(Duration::from_millis(1));
        }
        panic!("letters are on their way for ever")
    }

    /// Turns, a settle time apart, until nothing lies in the drop folder and two turns more for pages and stale jobs.
    pub fn rest(&mut self) -> Result<(), DaemonError> {
        let mut quiet = 0;
        for _ in 0..60 {
            self.turn()?;
            self.post()?;
            quiet = if left_in_drop(&self.place.dir).is_empty() { quiet + 1 } else { 0 };
            if quiet == 3 {
                return Ok(());
            }
            self.clock.advance(Duration::from_millis(1_010));
        }
        panic!("papers lie in the drop folder for ever: {:?}", left_in_drop(&self.place.dir))
    }

    /// The power goes: nothing is closed, nothing is finished. Gives the time it was.
    pub fn cut(mut self) -> Timestamp {
        self.house = None;
        self.outlive_writes();
        self.clock.now()
    }

    /// A write under way on the sender's thread outlives the house inside one process, as it would not in life.
    fn outlive_writes(&self) {
        let under_way = || {
            let letters = fs::read_dir(self.place.dir.join("letters")).unwrap();
            letters.map(Result::unwrap).any(|entry| entry.file_name().to_string_lossy().ends_with(".tmp"))
        };
        // A write may be ordered and not begun.
        let mut quiet = 0;
        for _ in 0..200 {
            sleep(Duration::from_millis(5));
            quiet = if under_way() { 0 } else { quiet + 1 };
            if quiet == 10 {
                return;
            }
        }
    }

    /// The clock and the house, for a test that gives it to the loop.
    pub fn apart(mut self) -> (Arc<HandClock>, House) {
        (Arc::clone(&self.clock), self.house.take().unwrap())
    }

    pub fn close(mut self) -> Timestamp {
        self.house.take().unwrap().close(Duration::from_secs(5)).unwrap();
        self.clock.now()
    }
}

/// Counts steps, and stops after one of them.
#[derive(Clone, Default)]
pub struct Onlooker {
    seen: Arc<Mutex<Vec<Step>>>,
    stop_after: Option<usize>,
}

impl Onlooker {
    /// Stops after so many steps.
    pub fn stopping_after(steps: usize) -> Self {
        Self { seen: Arc::default(), stop_after: Some(steps) }
    }

    pub fn seen(&self) -> Vec<Step> {
        self.seen.lock().unwrap().clone()
    }
}

impl Steps for Onlooker {
    fn after(&mut self, step: Step) -> Result<(), DaemonError> {
        let mut seen = self.seen.lock().unwrap();
        seen.push(step);
        if Some(seen.len()) == self.stop_after { Err(DaemonError::Stopped(step)) } else { Ok(()) }
    }
}
