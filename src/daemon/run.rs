//! The loop: turn, sleep until something may have happened, turn again, until told to stop.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::trouble::Absence;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Duration;

/// Without any hint the folder is looked at this often; with notifications they only shorten the wait.
const TICK: Duration = Duration::from_secs(5);

/// How long a trouble that mends itself is left alone before the next try.
const PAUSE: Duration = Duration::from_secs(5);

/// What the loop is told from other threads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Call {
    /// There may be something to do.
    Look,
    /// Finish the step in hand and end.
    Stop,
}

/// Turns until a stop is called for.
///
/// # Errors
/// A trouble after which nothing may be acknowledged: the caller ends the process and lets it be started again.
pub fn run(mut house: House, calls: &Receiver<Call>) -> Result<(), DaemonError> {
    let mut trouble: Option<String> = None;
    let mut absence = Absence::default();
    loop {
        let turned = house.turn().and_then(|taken| house.folder_is_there(&mut absence).map(|()| taken));
        let wait = match turned {
            Ok(taken) => {
                if trouble.take().is_some() {
                    tracing::info!("working again; nothing was lost meanwhile");
                }
                if taken.more { Duration::ZERO } else { house.until_next(taken.next) }
            }
            Err(error) if error.must_stop() => return Err(error),
            Err(error) => {
                say_once(&mut trouble, &error);
                // What failed is tried again; a trouble on the way there waits for the next try too.
                let prepared = if error.is_away() {
                    house.folder_is_away(&mut absence, &error.to_string())
                } else {
                    house.forget_unfinished_work()
                };
                if let Err(error) = prepared {
                    if error.must_stop() {
                        return Err(error);
                    }
                    tracing::error!(%error, "preparing the next try");
                }
                PAUSE
            }
        };
        if is_stopped(calls, wait) {
            tracing::info!("stopping");
            return house.close(Duration::from_secs(2));
        }
    }
}

/// The same trouble is said once, not every few seconds.
fn say_once(trouble: &mut Option<String>, error: &DaemonError) {
    let text = error.to_string();
    if trouble.as_ref() != Some(&text) {
        if error.is_away() {
            tracing::error!(error = %text, "the watch folder is away; everything is kept and it is tried again");
        } else {
            tracing::error!(error = %text, "a turn failed; everything is kept and it is tried again");
        }
        *trouble = Some(text);
    }
}

/// Sleeps until the wait is over or a hint comes. Hints that came together are one.
fn is_stopped(calls: &Receiver<Call>, wait: Duration) -> bool {
    let mut call = match calls.recv_timeout(wait) {
        Ok(call) => call,
        Err(RecvTimeoutError::Timeout) => return false,
        Err(RecvTimeoutError::Disconnected) => return true,
    };
    loop {
        if call == Call::Stop {
            return true;
        }
        match calls.try_recv() {
            Ok(next) => call = next,
            Err(_) => return false,
        }
    }
}

impl House {
    /// How long nothing needs to be done.
    fn until_next(&mut self, look: Option<Duration>) -> Duration {
        let now = self.clock.since_start();
        let wait = [look, self.press.due()]
            .into_iter()
            .flatten()
            .min()
            .map_or(TICK, |at| at.saturating_sub(now))
            .min(TICK);
        // An idle moment is the time to fold the ledger's log, so that a storm does not have to.
        if wait == TICK
            && let Err(error) = self.ledger.fold_log()
        {
            tracing::warn!(%error, "folding the ledger's log");
        }
        wait
    }

    /// After a turn that failed, what is in memory may be ahead of the ledger: it is folded anew.
    fn forget_unfinished_work(&mut self) -> Result<(), DaemonError> {
        self.jobs = super::jobs::Jobs::default();
        self.press.doubt();
        self.shop = super::shop_wide::ShopWide::load(&self.ledger, &self.config.site)?;
        Ok(())
    }
}
