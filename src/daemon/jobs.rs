//! Jobs in memory: folded from the ledger when they are needed, let go when others are.

use crate::daemon::error::DaemonError;
use crate::daemon::shop_wide::read;
use crate::facts::JobKey;
use crate::ledger::Ledger;
use crate::notices::Told;
use crate::shop::FactSet;
use std::collections::BTreeMap;

/// The statements of one job and what people were told of it.
#[derive(Default)]
pub(super) struct KnownJob {
    pub(super) set: FactSet,
    pub(super) told: Told,
}

/// Statements kept in memory over all jobs; a measurements drop takes some 5 KiB, so this is some 60 MiB.
const MOST_FACTS: usize = 12_000;

/// The jobs in memory.
#[derive(Default)]
pub(super) struct Jobs {
    known: BTreeMap<JobKey, (u64, KnownJob)>,
    uses: u64,
    facts: usize,
}

impl Jobs {
    /// Takes a job out, from memory or from the ledger. Until it is put back nothing of it is kept, so a turn
    /// that fails leaves no half-done state behind.
    pub(super) fn take(
        &mut self,
        key: &JobKey,
        ledger: &Ledger,
        site: &str,
    ) -> Result<KnownJob, DaemonError> {
        if let Some((_, job)) = self.known.remove(key) {
            self.facts -= job.set.len();
            return Ok(job);
        }
        let mut job = KnownJob::default();
        for stored in ledger.drops_of(&key.to_string())? {
            job.set.insert(read(&stored.bytes, site)?);
        }
        if let Some(row) = ledger.job_row(&key.to_string())? {
            // A row that cannot be read was told nothing we know of; telling twice beats not telling.
            job.told = serde_json::from_str(&row.told).unwrap_or_default();
        }
        Ok(job)
    }

    /// Keeps a job, and lets those go that were not used for longest.
    pub(super) fn put(&mut self, key: JobKey, job: KnownJob) {
        self.uses += 1;
        self.facts += job.set.len();
        self.known.insert(key, (self.uses, job));
        while self.facts > MOST_FACTS && self.known.len() > 1 {
            let oldest = self.known.iter().min_by_key(|(_, (used, _))| *used).map(|(key, _)| key.clone());
            if let Some((_, job)) = oldest.and_then(|key| self.known.remove(&key)) {
                self.facts -= job.set.len();
            }
        }
    }
}
