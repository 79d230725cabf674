//! The whole ledger gone through behind a start: a service must take papers in within a second, and the checks of a large
//! ledger take minutes.
//!
//! They run once, after the first turn that worked, on a reader of their own and with pauses. What they find goes
//! to the log, to `status`, onto the board and to the owner; the service goes on recording, which is never worse.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::ledger::{self, Batch, Ledger, VerifyReport};
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

impl House {
    /// Says what going through the ledger found; damage goes to the owner too. Gives it in a sentence.
    pub(super) fn ledger_gone_through(
        &mut self,
        found: ledger::Result<VerifyReport>,
    ) -> Result<Said, DaemonError> {
        let report = match found {
            Ok(report) => report,
            Err(error) => {
                tracing::error!(%error, "the ledger could not be gone through");
                return Ok(Said { words: format!("could not be gone through: {error}"), is_damaged: false });
            }
        };
        let counted =
            format!("drops: {}, arrivals: {}, letters: {}", report.drops, report.arrivals, report.letters);
        let Some(first) = report.faults.first() else {
            tracing::info!(%counted, "the ledger was gone through and is sound");
            return Ok(Said {
                words: format!("gone through since the start and sound ({counted})"),
                is_damaged: false,
            });
        };
        let count = report.faults.len() as u64 + report.more_faults;
        let words = format!("is damaged, faults: {count}; the first: {first}");
        tracing::error!(faults = count, %first, "the ledger is damaged");
        self.press.damage = Some(format!("The ledger {words}. The owner should restore it from a backup."));
        self.press.letters_changed();
        let now = self.clock.now();
        let (date, _) = self.press.date_and_time(now);
        let letters = ledger_damaged(&self.shop.shop, &date, count, &report.faults);
        let mut batch = Batch::default();
        self.queue(&letters, now, &mut batch)?;
        self.ledger.commit(&batch)?;
        Ok(Said { words, is_damaged: true })
    }
}

/// How the ledger was found, in words.
pub(super) struct Said {
    pub(super) words: String,
    pub(super) is_damaged: bool,
}
