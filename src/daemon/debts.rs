//! Engines that are owed a look: their papers are in the ledger and nobody has judged them since, or the shop's own papers
//! have changed what they rest on, or a date has passed.
//!
//! The debt stands in the ledger, in the transaction of its cause, so that a stop loses none. While a backlog comes in
//! nothing is paid: every engine would be folded once more for each batch. One that goes on for long is paid beside it,
//! engine after engine, so that an alert does not wait for the end of a storm.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::jobs::{Ground, JobBatch, Jobs, answer_all};
use crate::daemon::steps::Step;
use crate::daemon::take_in::Decided;
use crate::facts::{Fact, JobKey};
use crate::ledger::Owing;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

/// Engines looked at in one transaction.
pub(super) const AT_ONCE: usize = 64;

/// Their statements are in memory until the commit, and a long-lived engine has hundreds: after so many the rest waits for
/// the next transaction.
const STATEMENTS_AT_ONCE: usize = 2_000;

/// A backlog that takes longer no longer keeps engines waiting.
const LONG_BACKLOG: Duration = Duration::from_secs(5);

/// A summary waits for what is owed, but not for ever.
const SUMMARY_WAITS: Duration = Duration::from_secs(600);

/// What is owed beside what the ledger knows of it.
#[derive(Default)]
pub(super) struct Debts {
    /// Since when something is owed, monotonic.
    since: Option<Duration>,
    /// The last that was paid: the next in the ledger's order comes first, so that none is passed over for ever.
    last: String,
}

/// The note of a debt, for the ledger.
pub(super) fn owing(key: &JobKey, new: &[Arc<Fact>]) -> Owing {
    let written = new.first().map_or_else(|| key.to_string(), |fact| fact.head.job_written.to_string());
    Owing { job: key.to_string(), written }
}

impl House {
    /// Statements that are in the ledger now; their engines are looked at later.
    pub(super) fn owe(&mut self, owed: BTreeMap<JobKey, Vec<Arc<Fact>>>) {
        for (key, new) in owed {
            self.jobs.add(&key, new);
        }
    }

    /// Folds some of the engines that are owed a look. `is_backlog` when there is more to take in at once. True when
    /// there may be more to fold.
    pub(super) fn pay(&mut self, is_backlog: bool) -> Result<bool, DaemonError> {
        let since = *self.debts.since.get_or_insert(self.clock.since_start());
        if is_backlog && self.clock.since_start().saturating_sub(since) < LONG_BACKLOG {
            return Ok(true);
        }
        let now = self.clock.now();
        let owed = self.owed(now.as_millisecond())?;
        let mut batches = Vec::with_capacity(owed.len());
        let mut statements = 0;
        for key in owed.iter().filter_map(|key| JobKey::of(key, &self.config.site)) {
            if statements >= STATEMENTS_AT_ONCE {
                break;
            }
            let known = self.jobs.take(&key, &self.ledger, &self.config.site)?;
            statements += known.statements();
            self.jobs.make_room(statements);
            self.debts.last = key.to_string();
            batches.push(JobBatch { key, known, new: Vec::new() });
        }
        if batches.is_empty() {
            self.debts.since = None;
            return Ok(false);
        }
        let is_all = owed.len() < AT_ONCE && statements < STATEMENTS_AT_ONCE;
        let mut decided = Decided::default();
        let ground = Ground { shop: &self.shop.shop, site: &self.config.site, now };
        for answered in answer_all(batches, &ground)? {
            self.queue(&answered.letters, now, &mut decided.batch)?;
            decided.add(answered);
        }
        self.ledger.commit(&decided.batch)?;
        self.install(None, decided.jobs, Jobs::put_aside);
        // Only now: a commit that failed pays nothing.
        if is_all {
            self.debts.since = None;
        }
        self.after(Step::Refolded)?;
        Ok(!is_all)
    }

    /// Whose turn it is: after the last that was paid, then from the beginning, then those whose date has come.
    fn owed(&self, now: i64) -> Result<Vec<String>, DaemonError> {
        let mut owed = self.ledger.stale_jobs(&self.debts.last, AT_ONCE)?;
        if owed.len() < AT_ONCE {
            let first =
                self.ledger.stale_jobs("", AT_ONCE)?.into_iter().chain(self.ledger.jobs_due(now, AT_ONCE)?);
            for key in first {
                if owed.len() < AT_ONCE && !owed.contains(&key) {
                    owed.push(key);
                }
            }
        }
        Ok(owed)
    }

    /// A summary would tell of engines that are about to be looked at.
    pub(super) fn summary_waits(&self) -> bool {
        let waits = |since| self.clock.since_start().saturating_sub(since) < SUMMARY_WAITS;
        self.debts.since.is_some_and(waits)
    }
}
