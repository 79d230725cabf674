//! The loop: turn, sleep until something may have happened, turn again, until told to stop.

use crate::clock::Clock;
use crate::daemon::deep_check::{DeepCheck, Said};
use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::reload::Reread;
use crate::daemon::trouble::Troubles;
use crate::daemon::vital::Vital;
use crate::intake::WatchState;
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
    /// Read the configuration anew.
    Reload,
    /// Finish the step in hand and end.
    Stop,
}

/// Turns until a stop is called for.
///
/// # Errors
/// A trouble after which nothing may be acknowledged: the caller ends the process and lets it be started again.
pub fn run(mut house: House, calls: &Receiver<Call>, reread: Reread<'_>) -> Result<(), DaemonError> {
    let mut trouble: Option<String> = None;
    let mut troubles = Troubles::default();
    let mut vital = Vital::new(&house.config.ledger, house.clock.now());
    let mut check: Option<DeepCheck> = None;
    loop {
        let turned = house
            .turn()
            .and_then(|taken| house.folder_is_there(&mut troubles.absence).map(|()| taken))
            .and_then(|taken| house.hear_check(&mut check, &mut vital).map(|()| taken));
        let mut hears = true;
        let wait = match turned {
            Ok(taken) => {
                house.disk_has_room(&mut troubles.full);
                if trouble.take().is_some() {
                    tracing::info!("working again; nothing was lost meanwhile");
                }
                if taken.more { Duration::ZERO } else { house.until_next(taken.next) }
            }
            Err(error) if error.must_stop() => return Err(error),
            Err(error) => {
                say_once(&mut trouble, &error);
                house.prepare_next_try(&error, &mut troubles)?;
                // Senders go on while the disk is full; each would have it try, and fail, at once.
                hears = error.is_away();
                PAUSE
            }
        };
        vital.turned(house.clock.as_ref(), trouble.as_deref(), house.watching(), house.press.waiting.len());
        let heard = listen(calls, wait, hears, house.clock.as_ref());
        if heard.stop {
            tracing::info!("stopping");
            vital.stopping();
            house.close(Duration::from_secs(2))?;
            vital.ended();
            return Ok(());
        }
        if heard.reload {
            vital.reloading();
            vital.reloaded(&house.reload(reread));
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

/// What was called while the loop slept.
#[derive(Default)]
struct Heard {
    stop: bool,
    reload: bool,
}

impl Heard {
    fn note(&mut self, call: Call) {
        match call {
            Call::Look => {}
            Call::Reload => self.reload = true,
            Call::Stop => self.stop = true,
        }
    }
}

/// Sleeps until the wait is over or somebody calls; a hint counts only where it is heard. Hints that came together are one.
fn listen(calls: &Receiver<Call>, wait: Duration, hears: bool, clock: &dyn Clock) -> Heard {
    let mut heard = Heard::default();
    let over = clock.since_start().saturating_add(wait);
    loop {
        match calls.recv_timeout(over.saturating_sub(clock.since_start())) {
            Ok(call) => heard.note(call),
            Err(RecvTimeoutError::Timeout) => return heard,
            Err(RecvTimeoutError::Disconnected) => heard.stop = true,
        }
        while let Ok(call) = calls.try_recv() {
            heard.note(call);
        }
        if hears || heard.stop || heard.reload {
            return heard;
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

    /// Begins to go through the ledger after the first turn that worked, and hears what was found.
    fn hear_check(&mut self, check: &mut Option<DeepCheck>, vital: &mut Vital) -> Result<(), DaemonError> {
        let begun = check.get_or_insert_with(|| DeepCheck::begin(&self.config.ledger));
        if let Some(found) = begun.ended() {
            // The sign first: it needs no disk with room, and no ledger that can be written.
            let said = Said::of(found);
            vital.gone_through(&said);
            self.tell_damage(&said)?;
        }
        Ok(())
    }

    /// What failed is tried again; a trouble on the way there waits for the next try too.
    fn prepare_next_try(&mut self, error: &DaemonError, troubles: &mut Troubles) -> Result<(), DaemonError> {
        if error.is_disk_full() {
            self.disk_is_full(&mut troubles.full, &error.to_string());
        }
        let prepared = if error.is_away() {
            self.folder_is_away(&mut troubles.absence, &error.to_string())
        } else {
            self.forget_unfinished_work()
        };
        match prepared {
            Err(error) if error.must_stop() => Err(error),
            Err(error) => {
                tracing::error!(%error, "preparing the next try");
                Ok(())
            }
            Ok(()) => Ok(()),
        }
    }

    /// How papers are noticed, for people.
    fn watching(&self) -> String {
        match self.folder.watch_state() {
            WatchState::Watching => "notified, and looks every few seconds".to_owned(),
            WatchState::Polled(why) => format!("looks every few seconds: {why}"),
        }
    }

    /// After a turn that failed, what is in memory may be ahead of the ledger: it is folded anew.
    fn forget_unfinished_work(&mut self) -> Result<(), DaemonError> {
        self.jobs = super::jobs::Jobs::default();
        self.rows = super::board_rows::BoardRows::default();
        self.press.doubt();
        self.shop = super::shop_wide::ShopWide::load(&self.ledger, &self.config.site)?;
        Ok(())
    }
}
