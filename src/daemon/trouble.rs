//! A watch folder that stays away is told to the owner: nobody at the bench sees a log.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::ledger::Batch;
use crate::notices::folder_trouble;
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

impl House {
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
        let mut batch = Batch::default();
        self.queue(&letters, self.clock.now(), &mut batch)?;
        self.ledger.commit(&batch)?;
        Ok(())
    }
}
