//! Jobs in memory: folded from the ledger when they are needed, let go when others are.

use crate::daemon::error::DaemonError;
use crate::daemon::issued::{issued_of, to_keep};
use crate::daemon::shop_wide::{gauge_key, read, sheet_key};
use crate::facts::{Fact, JobKey};
use crate::ledger::{JobRow, Ledger, NewIssue, StoredDrop};
use crate::notices::{Letter, Told};
use crate::pages::{BoardRow, Issued};
use crate::respond::{issue, respond};
use crate::shop::{FactSet, Shop};
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The statements of one job and what people were told of it.
#[derive(Default)]
pub(super) struct KnownJob {
    pub(super) set: FactSet,
    pub(super) told: Told,
    /// Papers that were issued, in the order of their versions.
    pub(super) issued: Vec<Issued>,
}

impl KnownJob {
    /// From the ledger.
    pub(super) fn load(key: &JobKey, ledger: &Ledger, site: &str) -> Result<Self, DaemonError> {
        StoredJob::of(key, ledger)?.decode(site)
    }
}

/// A job as the ledger has it: its statements are still bytes.
pub(super) struct StoredJob {
    drops: Vec<StoredDrop>,
    pub(super) told: Told,
    issued: Vec<Issued>,
}

impl StoredJob {
    /// From the ledger.
    pub(super) fn of(key: &JobKey, ledger: &Ledger) -> Result<Self, DaemonError> {
        let drops = ledger.drops_of(&key.to_string())?;
        // A row that cannot be read was told nothing we know of; telling twice beats not telling.
        let row = ledger.job_row(&key.to_string())?;
        let told = row.and_then(|row| serde_json::from_str(&row.told).ok()).unwrap_or_default();
        Ok(Self { drops, told, issued: issued_of(key, ledger)? })
    }

    fn decode(self, site: &str) -> Result<KnownJob, DaemonError> {
        let mut set = FactSet::default();
        for stored in self.drops {
            set.insert(read(&stored.bytes, site)?);
        }
        Ok(KnownJob { set, told: self.told, issued: self.issued })
    }
}

/// A job as it was taken out: what is from the ledger is decoded by whoever works on it, on a thread of its own where there
/// are many.
pub(super) enum TakenOut {
    /// It was in memory.
    Known(KnownJob),
    /// It was not.
    Stored(StoredJob),
}

/// Many engines are out at once, and their pictures are in their bytes: of one that has more than this, only what it says is
/// kept.
const MOST_RAW: usize = 512 << 10;

impl TakenOut {
    /// From the ledger, decoded at once where its bytes are many.
    pub(super) fn stored(job: StoredJob, site: &str) -> Result<Self, DaemonError> {
        let raw: usize = job.drops.iter().map(|drop| drop.bytes.len()).sum();
        Ok(if raw > MOST_RAW { Self::Known(job.decode(site)?) } else { Self::Stored(job) })
    }

    /// How many statements it has.
    pub(super) fn statements(&self) -> usize {
        match self {
            Self::Known(job) => job.set.len(),
            Self::Stored(job) => job.drops.len(),
        }
    }

    /// With its statements decoded.
    pub(super) fn known(self, site: &str) -> Result<KnownJob, DaemonError> {
        match self {
            Self::Known(job) => Ok(job),
            Self::Stored(job) => job.decode(site),
        }
    }
}

/// A job with the statements that are new to it.
pub(super) struct JobBatch {
    pub(super) key: JobKey,
    pub(super) known: TakenOut,
    pub(super) new: Vec<Arc<Fact>>,
}

/// What a job's batch comes to, without the view it was read off: a view is many times larger than its facts.
pub(super) struct Answered {
    pub(super) key: JobKey,
    pub(super) known: KnownJob,
    pub(super) letters: Vec<Letter>,
    /// Papers to keep as they are issued now.
    pub(super) issued: Vec<NewIssue>,
    pub(super) row: JobRow,
    /// The same row as the board reads it.
    pub(super) board: BoardRow,
    /// What the job rests on in the shop, for the index that says whom to fold again.
    pub(super) uses: Vec<(String, String)>,
}

/// A job that waits for a time is looked at once a day at least, whatever becomes of the clock.
const DAY: i64 = 24 * 3_600_000;

/// From this many jobs on two threads fold.
const WORTH_TWO: usize = 8;

/// What jobs are answered with: the shop's own statements, its site, and the time.
pub(super) struct Ground<'a> {
    pub(super) shop: &'a Shop,
    pub(super) site: &'a str,
    pub(super) now: Timestamp,
}

/// Responds to every job, in the order given. Jobs know nothing of each other, so the work is split between
/// two threads where that pays.
pub(super) fn answer_all(batches: Vec<JobBatch>, ground: &Ground<'_>) -> Result<Vec<Answered>, DaemonError> {
    let all = |batches: Vec<JobBatch>| {
        batches.into_iter().map(|batch| answer(batch, ground)).collect::<Result<Vec<_>, _>>()
    };
    if batches.len() < WORTH_TWO {
        return all(batches);
    }
    let mut first = batches;
    let second = first.split_off(first.len() / 2);
    std::thread::scope(|scope| {
        let other = scope.spawn(|| all(second));
        let answered = all(first);
        match other.join() {
            Ok(more) => answered.and_then(|mut answered| {
                answered.extend(more?);
                Ok(answered)
            }),
            // A panic while folding is a defect; it must end the process, not lose half a batch.
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

fn answer(batch: JobBatch, ground: &Ground<'_>) -> Result<Answered, DaemonError> {
    let Ground { shop, site, now } = *ground;
    let KnownJob { set, told, mut issued } = batch.known.known(site)?;
    let response = respond(&batch.key, set, &told, shop, batch.new, now);
    let new = issue(&batch.key, &response.state, shop, &response.view, &issued);
    let job = batch.key.to_string();
    let gauges = response.view.job.gauges.iter().map(|mark| gauge_key(mark));
    let sheet = response.view.job.check_in.iter().map(|check_in| sheet_key(&check_in.sheet));
    let uses = gauges.chain(sheet).map(|key| (job.clone(), key)).collect();
    // Rows and memories are plain values; writing them as JSON cannot fail.
    let json = |value: Result<String, serde_json::Error>| value.unwrap_or_default();
    let row = JobRow {
        job,
        written: response.row.written.clone(),
        row: json(serde_json::to_string(&response.row)),
        told: json(serde_json::to_string(&response.told)),
        next_look: response.next_look.map(|look| look.min(now.as_millisecond().saturating_add(DAY))),
        stale: false,
    };
    issued.extend(new.iter().map(|(paper, _)| paper.clone()));
    let new = new.into_iter().map(|(paper, bytes)| to_keep(&batch.key, &paper, bytes)).collect();
    let known = KnownJob { set: response.state, told: response.told, issued };
    let (key, letters, board) = (batch.key, response.letters, response.row);
    Ok(Answered { key, known, letters, issued: new, row, board, uses })
}

/// Statements kept in memory over all jobs. A measurements drop of 20 readings is 4 KB of its own, and twice that was seen as
/// the kernel counts it; so this is some 36 of the 150 MB that a service may take.
const MOST_FACTS: usize = 4_500;

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
    ) -> Result<TakenOut, DaemonError> {
        if let Some((_, job)) = self.known.remove(key) {
            self.facts -= job.set.len();
            return Ok(TakenOut::Known(job));
        }
        TakenOut::stored(StoredJob::of(key, ledger)?, site)
    }

    /// Lets jobs go for those that are out: together they have no more statements than may be in memory.
    pub(super) fn make_room(&mut self, out: usize) {
        while self.facts + out > MOST_FACTS && !self.known.is_empty() {
            self.let_go_of_one();
        }
    }

    /// Adds statements that are in the ledger now to a job that is in memory; one that is not is read when it is needed.
    pub(super) fn add(&mut self, key: &JobKey, new: Vec<Arc<Fact>>) {
        if let Some((_, mut job)) = self.known.remove(key) {
            self.facts -= job.set.len();
            for fact in new {
                job.set.insert(fact);
            }
            self.put(key.clone(), job);
        }
    }

    /// Keeps a job that something new was said of.
    pub(super) fn put(&mut self, key: JobKey, job: KnownJob) {
        self.uses += 1;
        self.keep(key, job, self.uses);
    }

    /// Keeps a job that was only looked at: it is let go before one that still waits for its look.
    pub(super) fn put_aside(&mut self, key: JobKey, job: KnownJob) {
        self.keep(key, job, 0);
    }

    /// Keeps a job, and lets those go that were not used for longest.
    fn keep(&mut self, key: JobKey, job: KnownJob, used: u64) {
        self.facts += job.set.len();
        self.known.insert(key, (used, job));
        while self.facts > MOST_FACTS && self.known.len() > 1 {
            self.let_go_of_one();
        }
    }

    fn let_go_of_one(&mut self) {
        let oldest = self.known.iter().min_by_key(|(_, (used, _))| *used).map(|(key, _)| key.clone());
        if let Some((_, job)) = oldest.and_then(|key| self.known.remove(&key)) {
            self.facts -= job.set.len();
        }
    }
}
