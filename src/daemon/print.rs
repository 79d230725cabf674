//! Writing the pages that are owed.

use crate::daemon::error::DaemonError;
use crate::daemon::gather::{arrivals_of, board_of};
use crate::daemon::house::House;
use crate::daemon::page_file::{PageError, write_page};
use crate::daemon::reach::{self, REACH};
use crate::daemon::steps::Step;
use crate::facts::JobKey;
use crate::intake::{BOARD, MARKER};
use crate::pages::{arrivals, bench_form, board, check_in_form, job_page};
use crate::respond::view;
use std::fs::{self, File};

/// Jobs whose pages are written at once; the next come a moment later, so that a start that owes many takes papers
/// in meanwhile.
const JOBS_AT_ONCE: usize = 256;

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
        let (jobs, forms) = (folder.join("jobs"), folder.join("forms"));
        // Where the marker is missing the folder is away, and a board made there would be in the way of its return.
        let here = fs::symlink_metadata(self.config.watch_folder.join(MARKER));
        let made = here.and_then(|_| fs::create_dir_all(&jobs)).and_then(|()| fs::create_dir_all(&forms));
        made.map_err(|error| PageError::Page(jobs.display().to_string(), error))?;
        if self.press.in_doubt {
            self.press.jobs.append(&mut reach::owed(&folder, &self.ledger)?);
            self.press.in_doubt = false;
        }
        let keys: Vec<JobKey> = self.press.jobs.iter().take(JOBS_AT_ONCE).cloned().collect();
        for key in keys {
            let job = self.jobs.take(&key, &self.ledger, &self.config.site)?;
            let view = view(&key, &job.set, &self.shop.shop);
            let (page, form) =
                (job_page(&view), bench_form(&view, &job.set, &self.shop.shop, &self.config.site));
            self.jobs.put(key.clone(), job);
            let name = format!("{}.html", key.slug());
            write_page(&jobs, &name, &page)?;
            write_page(&forms, &name, &form)?;
            self.press.jobs.remove(&key);
        }
        let now = self.clock.now();
        let board_page = board(&board_of(&self.ledger, &self.shop.shop, &self.press.zone, now)?);
        write_page(&folder, "board.html", &board_page)?;
        write_page(&forms, "check-in.html", &check_in_form(&self.shop.shop, &self.config.site))?;
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
