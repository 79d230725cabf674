//! The whole ledger gone through behind a start: a service must take papers in within a second, and the checks of a large
//! ledger take minutes.
//!
//! They run once, after the first turn that worked, on a reader of their own and with pauses. What they find goes
//! to the log, to `status`, onto the board and to the owner; the service goes on recording, which is never worse.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::ledger::{self, Ledger, VerifyReport};
use crate::notices::ledger_damaged;
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// After so many rows as are read at a stretch (some milliseconds).
const PAUSE: Duration = Duration::from_millis(10);

/// A check under way, or one that never came about.
pub(super) struct DeepCheck {
    found: Receiver<ledger::Result<VerifyReport>>,
}

impl DeepCheck {
    /// Begins on a thread of its own, which the end of the process ends.
    pub(super) fn begin(ledger: &Path) -> Self {
        let (tell, found) = channel();
        let path = ledger.to_owned();
        let go_through = move || {
            // A pause after every stretch of rows: papers and letters come first.
            let mut pause = |_, _| thread::sleep(PAUSE);
            let report = Ledger::read_only(&path).and_then(|ledger| ledger.verify_rows(&mut pause));
            // Nobody listens any more when the service ends.
            drop(tell.send(report));
        };
        if let Err(error) = thread::Builder::new().name("deep check".to_owned()).spawn(go_through) {
            tracing::warn!(%error, "the ledger is not gone through: no thread to be had");
        }
        Self { found }
    }

    /// What was found, once.
    pub(super) fn ended(&self) -> Option<ledger::Result<VerifyReport>> {
        self.found.try_recv().ok()
    }
}

/// How the ledger was found.
pub(super) struct Said {
    /// In words.
    pub(super) words: String,
    /// The faults, when it is damaged: how many, and the first in words.
    pub(super) damage: Option<(u64, Vec<String>)>,
}

impl Said {
    /// Of what going through it came to; the log says it too.
    pub(super) fn of(found: ledger::Result<VerifyReport>) -> Self {
        let report = match found {
            Ok(report) => report,
            Err(error) => {
                tracing::error!(%error, "the ledger could not be gone through");
                return Self { words: format!("could not be gone through: {error}"), damage: None };
            }
        };
        let VerifyReport { drops, arrivals, letters, faults, more_faults, .. } = report;
        let Some(first) = faults.first() else {
            tracing::info!(drops, arrivals, letters, "the ledger was gone through and is sound");
            let counted = format!("drops: {drops}, arrivals: {arrivals}, letters: {letters}");
            let words = format!("gone through since the start and sound ({counted})");
            return Self { words, damage: None };
        };
        let count = faults.len() as u64 + more_faults;
        tracing::error!(faults = count, %first, "the ledger is damaged");
        Self {
            words: format!("is damaged, faults: {count}; the first: {first}"),
            damage: Some((count, faults)),
        }
    }
}

impl House {
    /// Damage goes onto the board and to the owner.
    pub(super) fn tell_damage(&mut self, said: &Said) -> Result<(), DaemonError> {
        let Some((count, faults)) = &said.damage else { return Ok(()) };
        self.press.damage =
            Some(format!("The ledger {}. The owner should restore it from a backup.", said.words));
        self.press.letters_changed();
        let (date, _) = self.press.date_and_time(self.clock.now());
        self.queue_alone(&ledger_damaged(&self.shop.shop, &date, *count, faults))
    }
}
