//! How far the pages on the board reach, so that a start knows which of them it owes.
//!
//! A stop between a commit and its pages would leave a job's page old until the next paper of that job. So a small
//! hidden file beside the pages says up to which arrival they were written. Jobs with later arrivals get their page
//! at the start, and after a later statement about the shop all do, as where the file is missing, says more than the
//! ledger holds, or was written by another version.

use crate::daemon::error::DaemonError;
use crate::facts::JobKey;
use crate::ledger::Ledger;
use crate::shop::RULE_SET;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// The file, in the board's folder.
pub(super) const REACH: &str = ".reach";

/// What the file says once every page is written up to this arrival.
pub(super) fn text(seq: i64) -> String {
    format!("{} rules {RULE_SET} arrival {seq}\n", env!("CARGO_PKG_VERSION"))
}

/// Is every page in this folder as new as the ledger?
///
/// # Errors
///
/// The ledger cannot be read.
pub fn owes_no_page(folder: &Path, ledger: &Ledger) -> Result<bool, DaemonError> {
    Ok(owed(folder, ledger)?.is_empty())
}

/// The jobs whose pages in this folder may be older than the ledger.
pub(super) fn owed(folder: &Path, ledger: &Ledger) -> Result<BTreeSet<JobKey>, DaemonError> {
    let last = ledger.last_arrival_seq()?;
    let own = |written: &String| {
        let (_, seq) = written.trim_end().rsplit_once(' ')?;
        let seq = seq.parse().ok().filter(|seq| (0..=last).contains(seq))?;
        (text(seq) == *written).then_some(seq)
    };
    let of = |key: &String| JobKey::of(key, ledger.site());
    if let Some(reach) = fs::read_to_string(folder.join(REACH)).ok().as_ref().and_then(own) {
        let keys = ledger.jobs_between(reach, last)?;
        if keys.iter().all(|key| !key.is_empty()) {
            return Ok(keys.iter().filter_map(of).collect());
        }
    }
    Ok(ledger.job_keys()?.iter().filter_map(of).collect())
}
