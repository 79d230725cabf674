//! A house inside the test, on a clock that is turned by hand, and its letters.

use benchdrop::clock::{Clock as _, HandClock};
use benchdrop::config::Config;
use benchdrop::daemon::{House, Setup, Uninterrupted};
use benchdrop::ledger::{Ledger, LetterInfo};
use benchdrop::outbox::{Relay, Route, Security};
use jiff::Timestamp;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread::sleep;
use std::time::Duration;

/// Longer than any back-off.
pub(super) const LATER: Duration = Duration::from_secs(73 * 60);

/// An open house on a clock that is turned by hand.
pub(super) struct Open {
    pub(super) dir: PathBuf,
    pub(super) clock: Arc<HandClock>,
    reports: Arc<AtomicUsize>,
    pub(super) house: House,
}

impl Open {
    pub(super) fn new(dir: &Path, now: Timestamp, route: Relay) -> Self {
        let clock = Arc::new(HandClock::at(now));
        let reports = Arc::new(AtomicUsize::new(0));
        let heard = Arc::clone(&reports);
        let wake = Arc::new(move || {
            heard.fetch_add(1, Ordering::AcqRel);
        });
        let steps = Box::new(Uninterrupted);
        let mut config = config(dir);
        config.route = Route::Smtp(route);
        let house = House::open(config, Setup { clock: Arc::clone(&clock) as _, wake, steps, patient: true });
        Self { dir: dir.to_owned(), clock, reports, house: house.unwrap() }
    }

    /// Turns until nothing lies in the drop folder.
    pub(super) fn take_in(&mut self) {
        while fs::read_dir(self.dir.join("watch-folder/drop")).unwrap().count() > 1 {
            self.house.turn().unwrap();
            self.clock.advance(Duration::from_secs(2));
        }
    }

    /// Every letter that is due is tried once.
    pub(super) fn try_letters(&mut self) {
        loop {
            let before = self.reports.load(Ordering::Acquire);
            self.house.turn().unwrap();
            if self.house.posting() == 0 {
                return;
            }
            while self.reports.load(Ordering::Acquire) == before && self.house.posting() > 0 {
                sleep(Duration::from_millis(1));
                // What was reported between the look and the turn is noted by a turn.
                if self.reports.load(Ordering::Acquire) == before {
                    self.house.turn().unwrap();
                }
            }
        }
    }

    pub(super) fn letters(&self) -> Vec<LetterInfo> {
        Ledger::read_only(&self.dir.join("ledger/benchdrop.db")).unwrap().letters().unwrap()
    }

    /// Time passes and letters are tried until this is so of them all.
    pub(super) fn until(&mut self, what: &str, is_so: impl Fn(&LetterInfo) -> bool) {
        for _ in 0..20 {
            self.try_letters();
            if self.letters().iter().all(&is_so) {
                return;
            }
            self.clock.advance(LATER);
        }
        panic!("{what}: {:?}", self.letters());
    }

    pub(super) fn close(self) -> Timestamp {
        self.house.close(Duration::ZERO).unwrap();
        self.clock.now()
    }
}

pub(super) fn config(dir: &Path) -> Config {
    let text = "site = \"main\"\ntimezone = \"Etc/UTC\"\nsummary-at = \"07:00\"\nwatch-folder = \"watch-folder\"\n\
                ledger = \"ledger/benchdrop.db\"\n[intake]\nwatch = false\n[letters]\n\
                from = \"benchdrop@shop.example\"\nto = \"folder\"\n";
    Config::parse(text, dir).unwrap()
}

pub(super) fn route(port: u16, patience: Duration) -> Relay {
    Relay {
        connect_timeout: patience,
        after_dot_timeout: patience,
        ..Relay::new("127.0.0.1", port, Security::PlainLoopback)
    }
}
