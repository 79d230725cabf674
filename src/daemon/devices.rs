//! The drop point of this shop: what it shows, where it puts papers, and what became of them.

use crate::clock::Clock;
use crate::config::Config;
use crate::drop_point::{DropPoint, Fate, Hooks, Keys, Word};
use crate::facts::Digest;
use crate::ledger::{Ledger, LedgerError, Outcome};
use crate::pages::form_script_digest;
use std::io;
use std::path::PathBuf;
use std::sync::Arc;

/// So many arrivals back a device may ask, so that no question reads a whole ledger.
const BACK: i64 = 20_000;

/// Opens the drop point where the configuration has one. `wake` is called when something lies in the drop folder.
///
/// # Errors
/// Its address is taken or not ours, or its certificate cannot be used.
pub fn open_drop_point(
    config: &Config,
    clock: Arc<dyn Clock>,
    wake: Arc<dyn Fn() + Send + Sync>,
) -> io::Result<Option<DropPoint>> {
    let Some(listening) = &config.drop_point else { return Ok(None) };
    let hooks = Hooks {
        watch_folder: config.watch_folder.clone(),
        keys: Keys::beside(&config.ledger),
        encrypted: listening.is_encrypted(),
        script: form_script_digest(),
        address: listening.address.clone(),
        word: Box::new(OfLedger(config.ledger.clone())),
        wake,
        clock,
    };
    DropPoint::begin(listening, hooks).map(Some)
}

/// What the ledger says. One that cannot be read just now says nothing yet; the service says so elsewhere.
struct OfLedger(PathBuf);

impl OfLedger {
    fn read<T>(&self, read: impl FnOnce(&Ledger) -> Result<T, LedgerError>) -> Option<T> {
        let read = Ledger::read_only(&self.0).and_then(|ledger| read(&ledger));
        read.map_err(|error| tracing::warn!(%error, "what became of a paper")).ok()
    }
}

impl Word for OfLedger {
    fn so_far(&self) -> i64 {
        self.read(Ledger::last_arrival_seq).unwrap_or(0)
    }

    fn fate(&self, hash: &Digest, after: i64) -> Option<Fate> {
        let arrival = self.read(|ledger| {
            let oldest = ledger.last_arrival_seq()?.saturating_sub(BACK);
            ledger.last_arrival_of(hash, after.max(oldest))
        });
        let arrival = arrival.flatten()?;
        Some(match arrival.outcome {
            Outcome::Filed => Fate::Filed,
            Outcome::Copy => Fate::Copy,
            Outcome::Returned => Fate::Returned(arrival.slip),
        })
    }
}
