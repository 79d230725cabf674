//! Which pages are owed: what has changed since they were last written.

use crate::config::Config;
use crate::daemon::take_in::Taken;
use crate::facts::{Digest, JobKey};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

/// Pages are written anew at most this often.
const AT_MOST_EVERY: Duration = Duration::from_secs(2);

/// What has changed since pages were last written.
pub(super) struct Press {
    pub(super) zone: TimeZone,
    pub(super) jobs: BTreeSet<JobKey>,
    pub(super) lists: bool,
    /// The pages on disk may be older than the ledger, or be gone: see which are owed before the next are written.
    pub(super) in_doubt: bool,
    /// Why pages could not be written the last time; the same is said once.
    pub(super) trouble: Option<String>,
    pub(super) waiting: Vec<(String, String)>,
    /// What is wrong with the ledger itself, for the board.
    pub(super) damage: Option<String>,
    /// What the pages that rarely change say on disk, by their names.
    pub(super) lasting: BTreeMap<&'static str, Digest>,
    pub(super) written: Option<Duration>,
}

impl Press {
    pub(super) fn new(config: &Config) -> Self {
        // At the start the lists are written, so that an old page does not pass for a new one.
        Self {
            zone: config.zone.clone(),
            jobs: BTreeSet::new(),
            lists: true,
            in_doubt: true,
            trouble: None,
            waiting: Vec::new(),
            damage: None,
            lasting: BTreeMap::new(),
            written: None,
        }
    }

    pub(super) fn job_changed(&mut self, key: &JobKey) {
        self.jobs.insert(key.clone());
        self.lists = true;
    }

    pub(super) fn shop_changed(&mut self) {
        self.lists = true;
    }

    pub(super) fn letters_changed(&mut self) {
        self.lists = true;
    }

    /// After a trouble the folder may be another one, or an older state of it.
    pub(super) fn doubt(&mut self) {
        (self.lists, self.in_doubt) = (true, true);
        self.lasting.clear();
    }

    pub(super) fn arrived(&mut self, taken: &Taken) {
        let settled: Vec<(String, String)> = taken.waiting.clone();
        self.lists |= taken.filed + taken.copies + taken.returned > 0 || settled != self.waiting;
        self.waiting = settled;
    }

    /// `2026-11-25` and `083015` in the shop's zone.
    pub(super) fn date_and_time(&self, now: Timestamp) -> (String, String) {
        let local = self.zone.to_datetime(now);
        (local.date().to_string(), local.strftime("%H%M%S").to_string())
    }

    /// When pages that changed should be written at the latest, monotonic.
    pub(super) fn due(&self) -> Option<Duration> {
        (self.lists || !self.jobs.is_empty())
            .then(|| self.written.map_or(Duration::ZERO, |last| last + AT_MOST_EVERY))
    }
}
