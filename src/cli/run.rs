//! `run`: the service.

use super::Done;
use super::speak::{complain, start_log};
use crate::clock::SystemClock;
use crate::config::Config;
use crate::daemon::{Call, House, Setup, Uninterrupted, open_drop_point, run};
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
use signal_hook::iterator::Signals;
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::mpsc::sync_channel;

/// The exit code of `EX_SOFTWARE` in sysexits: start me again.
const START_AGAIN: u8 = 70;

pub(super) fn execute(path: &Path, log_json: bool) -> Done {
    let config = Config::read(path)?;
    start_log(log_json);
    let (calls, heard) = sync_channel(64);
    let hint = calls.clone();
    // A full channel holds hints enough; one more says nothing new.
    let wake = Arc::new(move || hint.try_send(Call::Look).unwrap_or_default());
    let mut signals = Signals::new([SIGTERM, SIGINT, SIGHUP])?;
    std::thread::Builder::new().name("signals".to_owned()).spawn(move || {
        for signal in signals.forever() {
            let call = if signal == SIGHUP { Call::Reload } else { Call::Stop };
            // The loop reads; a full channel is emptied by it, so this send ends.
            calls.send(call).unwrap_or_default();
        }
    })?;
    let setup =
        Setup { clock: Arc::new(SystemClock::new()), wake, steps: Box::new(Uninterrupted), patient: true };
    tracing::info!(watch_folder = %config.watch_folder.display(), ledger = %config.ledger.display(), "benchdrop starts");
    let (clock, hint) = (Arc::clone(&setup.clock), Arc::clone(&setup.wake));
    // Held to the end: it listens as long as it is there.
    let house = House::open(config, setup)?;
    let _drop_point =
        open_drop_point(house.config(), clock, hint).map_err(|error| format!("the drop point: {error}"))?;
    let reread = || Config::read(path).map_err(|error| error.to_string());
    match run(house, &heard, &reread) {
        Ok(()) => Ok(ExitCode::SUCCESS),
        Err(error) if error.must_stop() => {
            tracing::error!(%error, "stopping: nothing may be acknowledged any more; start again");
            complain(&error);
            Ok(ExitCode::from(START_AGAIN))
        }
        Err(error) => Err(error.into()),
    }
}
