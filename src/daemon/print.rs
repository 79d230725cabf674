//! Writing the pages that are owed.

use crate::daemon::error::DaemonError;
use crate::daemon::gather::{arrivals_of, board_with, gauges_with, today_with};
use crate::daemon::house::House;
use crate::daemon::job_pages::write_pages_of;
use crate::daemon::page_file::{PageError, make_in_its_place, remove, sync, write_page};
use crate::daemon::pictures::write_pictures;
use crate::daemon::reach::{self, REACH};
use crate::daemon::steps::Step;
use crate::facts::{Digest, JobKey};
use crate::intake::{BOARD, MARKER};
use crate::pages::{JobView, arrivals, bench_form, board, check_in_form, drop_words, gauges, released};
use crate::respond::view;
use std::fs;
use std::path::Path;
use std::time::Duration;

/// Jobs whose pages are written at once; the next come a moment later, so that a start that owes many takes papers
/// in meanwhile.
const JOBS_AT_ONCE: usize = 256;

/// Pages are written for at most so long at a stretch: a paper, and a stop, must not wait for hundreds of them. What is
/// owed then is written a moment later, or by the next start, which knows what it owes.
const AT_A_STRETCH: Duration = Duration::from_secs(1);

impl House {
    /// Writes every page that is owed, however long it takes; gives up where the folder cannot be written.
    pub(super) fn print_all(&mut self) -> Result<(), DaemonError> {
        loop {
            let owed = self.press.jobs.len();
            self.print(true)?;
            if self.press.jobs.is_empty() || self.press.trouble.is_some() || self.press.jobs.len() == owed {
                return Ok(());
            }
        }
    }

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
        fs::symlink_metadata(self.config.watch_folder.join(MARKER))
            .map_err(|error| PageError::Page(folder.display().to_string(), error))?;
        for place in [&folder, &jobs, &forms] {
            make_in_its_place(place)?;
        }
        if self.press.in_doubt {
            self.press.jobs.append(&mut reach::owed(&folder, &self.ledger)?);
            self.press.in_doubt = false;
        }
        let began = self.clock.since_start();
        let keys: Vec<JobKey> = self.press.jobs.iter().take(JOBS_AT_ONCE).cloned().collect();
        for key in keys {
            if self.clock.since_start().saturating_sub(began) > AT_A_STRETCH {
                break;
            }
            let job = self.jobs.take(&key, &self.ledger, &self.config.site)?.known(&self.config.site)?;
            let issued = job.issued.clone();
            let view = JobView { issued, ..view(&key, &job.set, &self.shop.shop) };
            let form = bench_form(&view, &job.set, &self.shop.shop, &self.config.site);
            self.jobs.put(key.clone(), job);
            write_page(&forms, &format!("{}.html", key.slug()), form)?;
            write_page(&forms, &format!("{}.json", key.slug()), drop_words(&view))?;
            write_pictures(&folder, &view, &self.ledger)?;
            write_pages_of(&folder, &view, &self.ledger)?;
            self.press.jobs.remove(&key);
        }
        self.write_lists(&folder, &forms)?;
        if self.press.jobs.is_empty() && self.ledger.stale_jobs("", 1)?.is_empty() {
            sync(&jobs)?;
            write_page(&folder, REACH, reach::text(self.ledger.last_arrival_seq()?))?;
        }
        Ok(())
    }

    /// The pages of the whole shop. What says no time is written when it says something else than before.
    fn write_lists(&mut self, folder: &Path, forms: &Path) -> Result<(), PageError> {
        let (now, shop, zone) = (self.clock.now(), &self.shop.shop, &self.press.zone);
        let rows = self.rows.all(&self.ledger)?;
        let arrived = arrivals_of(&self.ledger, shop, zone, &self.press.waiting, &rows, now)?;
        let all_gauges = gauges_with(shop, zone, rows.clone(), now);
        let today = today_with(&self.ledger, shop, zone, rows.clone(), now)?;
        let mut board_now = board_with(&self.ledger, shop, zone, rows, now)?;
        board_now.warnings.extend(self.press.damage.clone());
        write_page(folder, "board.html", board(&board_now))?;
        write_page(folder, "arrivals.html", arrivals(&arrived))?;
        for (place, name, page) in [
            (folder, "released.html", released(&board_now)),
            (folder, "gauges.html", Some(gauges(&all_gauges))),
            (folder, "today.html", Some(today)),
            (forms, "check-in.html", Some(check_in_form(shop, &self.config.site))),
        ] {
            let Some(page) = page else {
                remove(&place.join(name))?;
                continue;
            };
            let digest = Digest::of(page.as_bytes());
            if self.press.lasting.get(name) != Some(&digest) || !place.join(name).exists() {
                write_page(place, name, &page)?;
                self.press.lasting.insert(name, digest);
            }
        }
        Ok(())
    }
}
