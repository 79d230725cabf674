//! The drop point of this shop: what it shows, where it puts papers, and what became of them.

use crate::clock::Clock;
use crate::config::Config;
use crate::drop_point::{DropPoint, Fate, Hooks, Keys};
use crate::facts::Digest;
use crate::ledger::{Ledger, Outcome};
use crate::pages::form_script_digest;
use std::io;
use std::path::Path;
use std::sync::Arc;

/// How far back a device may ask; it asks in the minutes after it sent.
const BACK: usize = 1000;

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
    let ledger = config.ledger.clone();
    let hooks = Hooks {
        watch_folder: config.watch_folder.clone(),
        keys: Keys::beside(&config.ledger),
        encrypted: listening.is_encrypted(),
        script: form_script_digest(),
        fate: Box::new(move |hash| fate(&ledger, hash)),
        wake,
        clock,
    };
    DropPoint::begin(listening, hooks).map(Some)
}

/// What the ledger says of the last paper with these bytes. A ledger that cannot be read just now says nothing yet; the
/// service says so elsewhere.
fn fate(ledger: &Path, hash: &Digest) -> Option<Fate> {
    let arrivals = Ledger::read_only(ledger).and_then(|ledger| ledger.arrivals(BACK));
    let arrivals = arrivals.map_err(|error| tracing::warn!(%error, "what became of a paper")).ok()?;
    let arrival = arrivals
        .into_iter()
        .filter(|arrival| arrival.hash == Some(*hash))
        .max_by_key(|arrival| arrival.seq)?;
    Some(match arrival.outcome {
        Outcome::Filed => Fate::Filed,
        Outcome::Copy => Fate::Copy,
        Outcome::Returned => Fate::Returned(arrival.slip),
    })
}
