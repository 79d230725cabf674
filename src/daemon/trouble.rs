//! A watch folder that stays away, or a disk that is full, is told to the owner: nobody at the bench sees a log.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::notices::{disk_full, folder_trouble};
use jiff::Timestamp;
use std::time::Duration;

/// A share that blinks is no letter.
const WORTH_A_LETTER: Duration = Duration::from_secs(60);

/// An absence of the watch folder.
#[derive(Debug, Default)]
pub(super) struct Absence {
    began: Option<(Duration, Timestamp)>,
    told: bool,
}

/// No second letter about a full disk within this: a disk that is full now and then is one trouble.
const AT_MOST_EVERY: Duration = Duration::from_secs(6 * 3_600);

/// A full disk, from the first write that failed for it to the first turn that worked.
#[derive(Debug, Default)]
pub(super) struct FullDisk {
    lasts: bool,
    told: Option<Duration>,
}

/// What lasts from turn to turn until it mends itself.
#[derive(Debug, Default)]
pub(super) struct Troubles {
    pub(super) absence: Absence,
    pub(super) full: FullDisk,
}

impl House {
    /// The disk is full: the owner is told at once, past the ledger, which cannot be written.
    pub(super) fn disk_is_full(&mut self, full: &mut FullDisk, why: &str) {
        let now = self.clock.since_start();
        let is_news = full.told.is_none_or(|told| now.saturating_sub(told) >= AT_MOST_EVERY);
        if !full.lasts && is_news {
            full.told = Some(now);
            let (date, time) = self.press.date_and_time(self.clock.now());
            let ledger = self.config.ledger.display().to_string();
            let letters = disk_full(&self.shop.shop, &format!("{date} {time}"), why, &ledger);
            self.post.send_past_ledger(&letters, self.clock.now());
        }
        full.lasts = true;
        self.post.go_on_past_ledger(self.clock.as_ref());
    }

    /// A turn worked: there is room.
    pub(super) fn disk_has_room(&mut self, full: &mut FullDisk) {
        if std::mem::take(&mut full.lasts) {
            self.post.back_to_ledger();
        }
    }

    /// The folder is away: after a minute the owner is told, once.
    pub(super) fn folder_is_away(&mut self, absence: &mut Absence, why: &str) -> Result<(), DaemonError> {
        // What comes back may be another disk, or an older state of this one.
        self.press.doubt();
        let (began, since) = *absence.began.get_or_insert((self.clock.since_start(), self.clock.now()));
        if absence.told || self.clock.since_start().saturating_sub(began) < WORTH_A_LETTER {
            return Ok(());
        }
        self.tell_folder(since, false, why)?;
        absence.told = true;
        Ok(())
    }

    /// The folder is there: whoever was told of its absence is told that too.
    pub(super) fn folder_is_there(&mut self, absence: &mut Absence) -> Result<(), DaemonError> {
        if let (Some((_, since)), true) = (absence.began, absence.told) {
            self.tell_folder(since, true, "The watch folder can be worked with again.")?;
        }
        *absence = Absence::default();
        Ok(())
    }

    fn tell_folder(&mut self, since: Timestamp, is_back: bool, why: &str) -> Result<(), DaemonError> {
        let (date, time) = self.press.date_and_time(since);
        let letters = folder_trouble(&self.shop.shop, &format!("{date} {time}"), is_back, why);
        self.queue_alone(&letters)
    }
}
