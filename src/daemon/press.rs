//! Pages on disk: which changed, and writing them so that a reader never sees half a page.

use crate::config::Config;
use crate::daemon::error::DaemonError;
use crate::daemon::gather::{arrivals_of, board_of};
use crate::daemon::house::House;
use crate::daemon::reach::{self, REACH};
use crate::daemon::steps::Step;
use crate::daemon::take_in::Taken;
use crate::facts::JobKey;
use crate::intake::{BOARD, MARKER};
use crate::pages::{arrivals, board, job_page};
use crate::respond::view;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;
use std::time::Duration;

/// Pages are written anew at most this often.
const AT_MOST_EVERY: Duration = Duration::from_secs(2);

/// Jobs whose pages are written at once; the next come a moment later, so that a start that owes many takes papers
/// in meanwhile.
const JOBS_AT_ONCE: usize = 256;

/// What has changed since pages were last written.
pub(super) struct Press {
    zone: TimeZone,
    jobs: BTreeSet<JobKey>,
    lists: bool,
    /// The pages on disk may be older than the ledger, or be gone: see which are owed before the next are written.
    in_doubt: bool,
    /// Why pages could not be written the last time; the same is said once.
    trouble: Option<String>,
    waiting: Vec<(String, String)>,
    written: Option<Duration>,
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

impl House {
    /// Writes the pages that changed, unless that was done a moment ago and `now_or_never` is false.
    pub(super) fn print(&mut self, now_or_never: bool) -> Result<(), DaemonError> {
        let now = self.clock.since_start();
        if self.press.due().is_none_or(|due| due > now && !now_or_never) {
            return Ok(());
        }
        self.press.written = Some(now);
        match self.write_pages() {
            Ok(()) => {
                self.press.lists = false;
                self.press.trouble = None;
                self.after(Step::Printed)
            }
            Err(PageError::Page(path, error)) => {
                // Pages can be made again at any time; the folder may be away.
                self.press.doubt();
                let trouble = format!("{path}: {error}");
                if self.press.trouble.as_ref() != Some(&trouble) {
                    tracing::warn!(%path, %error, "a page cannot be written; it is tried again");
                    self.press.trouble = Some(trouble);
                }
                Ok(())
            }
            Err(PageError::Daemon(error)) => Err(error),
        }
    }

    fn write_pages(&mut self) -> Result<(), PageError> {
        let folder = self.config.watch_folder.join(BOARD);
        let jobs = folder.join("jobs");
        // Where the marker is missing the folder is away, and a board made there would be in the way of its return.
        let here = fs::symlink_metadata(self.config.watch_folder.join(MARKER));
        let made = here.and_then(|_| fs::create_dir_all(&jobs));
        made.map_err(|error| PageError::Page(jobs.display().to_string(), error))?;
        if self.press.in_doubt {
            self.press.jobs.append(&mut reach::owed(&folder, &self.ledger)?);
            self.press.in_doubt = false;
        }
        let keys: Vec<JobKey> = self.press.jobs.iter().take(JOBS_AT_ONCE).cloned().collect();
        for key in keys {
            let job = self.jobs.take(&key, &self.ledger, &self.config.site)?;
            let page = job_page(&view(&key, &job.set, &self.shop.shop));
            self.jobs.put(key.clone(), job);
            write_page(&jobs, &format!("{}.html", key.slug()), &page)?;
            self.press.jobs.remove(&key);
        }
        let now = self.clock.now();
        let board_page = board(&board_of(&self.ledger, &self.shop.shop, &self.press.zone, now)?);
        write_page(&folder, "board.html", &board_page)?;
        let arrived = arrivals_of(&self.ledger, &self.shop.shop, &self.press.zone, &self.press.waiting, now)?;
        let arrived = arrivals(&arrived);
        write_page(&folder, "arrivals.html", &arrived)?;
        if self.press.jobs.is_empty() && self.ledger.stale_jobs(1)?.is_empty() {
            let synced = File::open(&jobs).and_then(|jobs| jobs.sync_all());
            synced.map_err(|error| PageError::Page(jobs.display().to_string(), error))?;
            write_page(&folder, REACH, &reach::text(self.ledger.last_arrival_seq()?))?;
        }
        Ok(())
    }
}

enum PageError {
    Page(String, io::Error),
    Daemon(DaemonError),
}

impl<E: Into<DaemonError>> From<E> for PageError {
    fn from(error: E) -> Self {
        Self::Daemon(error.into())
    }
}

/// Temporary name, sync, rename: a reader sees the old page or the new one.
fn write_page(folder: &Path, name: &str, text: &str) -> Result<(), PageError> {
    let path = folder.join(name);
    let part = folder.join(format!(".{name}.part"));
    let write = || -> io::Result<()> {
        let mut file = File::create(&part)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(&part, &path)
    };
    write().map_err(|error| PageError::Page(path.display().to_string(), error))
}
