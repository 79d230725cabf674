//! A new ledger from what is left: a backup, and the papers in `filed/` and `returned/`.
//!
//! Facts and papers come back, and the papers that were issued, as they lie on the board; letters do not. What stands out of limits today was told by the ledger that is lost,
//! or shows on the next daily page, so it counts as told: nobody is sent a second letter about it.

use crate::config::Config;
use crate::daemon::error::DaemonError;
use crate::daemon::issued::lying;
use crate::daemon::jobs::{Ground, JobBatch, KnownJob, StoredJob, TakenOut, answer_all};
use crate::daemon::shop_wide::ShopWide;
use crate::facts::{Digest, JobKey, decode_kept};
use crate::intake::{BOARD, Shelved, read_shelved, shelved};
use crate::ledger::{Batch, JobRow, Ledger, NewArrival, NewDrop, Outcome, SummaryMark, VerifyReport};
use crate::notices::{Told, due};
use crate::pages::Issued;
use crate::respond::{Compared, hold_against, view};
use crate::shop::Shop;
use jiff::Timestamp;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Papers recorded together.
const AT_ONCE: usize = 500;

/// What is remarked of a paper that an earlier release took.
const NEVER_WAS: &str = "its time is a leap second where there was none, and counts as the second before";

/// Larger papers were never read, and are not now.
const MOST_BYTES: u64 = 1024 * 1024;

/// What a new ledger was made from.
#[derive(Debug, Default)]
pub struct Rebuilt {
    /// Drops that the backup had.
    pub from_backup: u64,
    /// Drops added from filed papers.
    pub filed: usize,
    /// Papers added that were returned.
    pub returned: usize,
    /// Papers on the board that were issued, and that the backup did not have.
    pub issued: usize,
    /// Those of them that nothing but themselves vouches for: place, and why.
    pub doubtful: Vec<(String, String)>,
    /// Filed papers that were taken as an earlier release took them, and would be returned today: place, and what is so.
    pub marked: Vec<(String, &'static str)>,
    /// Filed papers that hold no drop any more: place, and why.
    pub unreadable: Vec<(String, String)>,
    /// Engines in it.
    pub jobs: usize,
    /// The new ledger, gone through.
    pub report: VerifyReport,
}

/// Where a new ledger is made from.
pub struct Sources<'a> {
    /// A backup.
    pub backup: Option<&'a Path>,
    /// A watch folder with its `filed/` and `returned/`.
    pub watch_folder: &'a Path,
}

/// Makes a new ledger at `new` for the configured site. `progress` is told what is done of what is to do, one stretch
/// after another.
///
/// # Errors
/// Something lies at `new` already, the backup is damaged or of another site, a folder cannot be read, or the disk is
/// full or failed. Nothing is left at `new` then.
pub fn rebuild(
    new: &Path,
    config: &Config,
    sources: &Sources<'_>,
    now: Timestamp,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Rebuilt, DaemonError> {
    if new.exists() {
        return Err(crate::ledger::LedgerError::Exists { path: new.into() }.into());
    }
    let work = Work::at(new);
    work.clear();
    let mut rebuilt = Rebuilt::default();
    if let Some(backup) = sources.backup {
        let backup = Ledger::read_only(backup)?;
        let report = backup.back_up(&work.path, progress)?;
        if !report.is_sound() {
            return Err(DaemonError::Unsound { what: "the backup", faults: report.faults });
        }
        rebuilt.from_backup = report.drops;
    }
    let mut ledger = Ledger::create_or_open(&work.path, &config.site)?;
    let touched = bring_papers(&mut ledger, config, sources.watch_folder, &mut rebuilt, progress)?;
    bring_issued(&mut ledger, config, sources.watch_folder, &touched, &mut rebuilt)?;
    rebuilt.jobs = fold_again(&mut ledger, config, touched, now)?;
    let done = ledger.last_summary()?.and_then(|mark| mark.date.parse().ok());
    if let Some(due) = due(now, &config.zone, config.summary_at, done) {
        let mark = SummaryMark { date: due.date.to_string(), to_seq: ledger.last_arrival_seq()? };
        ledger.commit(&Batch { summary: Some(mark), ..Batch::default() })?;
    }
    ledger.checkpoint()?;
    rebuilt.report = ledger.back_up(new, progress)?;
    Ok(rebuilt)
}

/// The ledger under way, beside the new one; taken away at the end, whatever that is.
struct Work {
    path: PathBuf,
}

impl Work {
    fn at(new: &Path) -> Self {
        let mut name = new.as_os_str().to_owned();
        name.push(".making");
        Self { path: PathBuf::from(name) }
    }

    fn clear(&self) {
        for ending in ["", "-wal", "-shm", ".lock", ".part"] {
            let mut name = self.path.as_os_str().to_owned();
            name.push(ending);
            // Mostly it is not there.
            std::fs::remove_file(PathBuf::from(name)).unwrap_or_default();
        }
    }
}

impl Drop for Work {
    fn drop(&mut self) {
        self.clear();
    }
}

/// Records the papers that the ledger lacks; gives the engines they are about, and "" for the shop.
fn bring_papers(
    ledger: &mut Ledger,
    config: &Config,
    watch_folder: &Path,
    rebuilt: &mut Rebuilt,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<BTreeSet<String>, DaemonError> {
    let list = shelved(watch_folder).map_err(|source| unread(watch_folder, source))?;
    let (mut touched, mut batch) = (BTreeSet::new(), Batch::default());
    for (index, paper) in list.iter().enumerate() {
        progress(index as u64, list.len() as u64);
        if MOST_BYTES < paper.size {
            continue;
        }
        let bytes = read_shelved(watch_folder, paper).map_err(|source| unread(watch_folder, source))?;
        let Some(bytes) = bytes else {
            rebuilt.unreadable.push((paper.place.clone(), "it changes while it is read".to_owned()));
            continue;
        };
        let hash = Digest::of(&bytes);
        if ledger.bytes_of(&hash)?.is_some()
            || batch.arrivals.iter().any(|arrival| arrival.hash == Some(hash))
        {
            continue;
        }
        let mut arrival = arrival(paper, hash, config);
        if paper.slip.is_some() {
            arrival.bytes = Some(bytes);
            rebuilt.returned += 1;
        } else {
            let fact = match decode_kept(&bytes, &config.site) {
                Ok(fact) => fact,
                Err(refusal) => {
                    rebuilt.unreadable.push((paper.place.clone(), crate::facts::first_fault(&refusal)));
                    continue;
                }
            };
            let job = fact.job.as_ref().map_or_else(String::new, ToString::to_string);
            touched.insert(job.clone());
            let kind = fact.body.kind().to_owned();
            // Other bytes that say what was said already.
            if ledger.known_content(&fact.id)? || batch.drops.iter().any(|drop| drop.content == fact.id) {
                arrival.outcome = Outcome::Copy;
            }
            (arrival.job, arrival.kind) = (Some(job.clone()), Some(kind.clone()));
            let recorded = fact.head.recorded.instant().as_millisecond();
            if fact.head.recorded.never_was() {
                arrival.remark.push_str(&format!("; {NEVER_WAS}"));
                rebuilt.marked.push((paper.place.clone(), NEVER_WAS));
            }
            batch.drops.push(NewDrop { hash, content: fact.id, job, kind, recorded, bytes });
            rebuilt.filed += 1;
        }
        batch.arrivals.push(arrival);
        if batch.arrivals.len() >= AT_ONCE {
            ledger.commit(&std::mem::take(&mut batch))?;
        }
    }
    ledger.commit(&batch)?;
    Ok(touched)
}

/// Keeps the papers that were issued of these engines, before any of them is looked at: they are not issued once more, and
/// none is made by other rules. A paper that says of itself what the statements do not bear out is kept too, since it may be
/// what somebody holds, and is named.
fn bring_issued(
    ledger: &mut Ledger,
    config: &Config,
    watch_folder: &Path,
    touched: &BTreeSet<String>,
    rebuilt: &mut Rebuilt,
) -> Result<(), DaemonError> {
    let shop = ShopWide::load(ledger, &config.site)?.shop;
    for job in touched.iter().cloned().chain(ledger.job_keys()?).collect::<BTreeSet<String>>() {
        let Some(key) = JobKey::of(&job, &config.site) else { continue };
        let last = ledger.issued_of(&job)?.last().map_or(0, |last| last.version);
        let issued = lying(watch_folder, &key, last);
        if issued.is_empty() {
            continue;
        }
        rebuilt.issued += issued.len();
        ledger.commit(&Batch { issued, ..Batch::default() })?;
        let known = KnownJob::load(&key, ledger, &config.site)?;
        rebuilt.doubtful.extend(doubtful(&key, &known, &shop, last));
    }
    Ok(())
}

/// The papers after version `last` that the statements do not bear out.
fn doubtful(key: &JobKey, known: &KnownJob, shop: &Shop, last: u32) -> Vec<(String, String)> {
    let now = view(key, &known.set, shop);
    let brought = known.issued.iter().filter(|paper| last < paper.version);
    let why = |paper: &Issued| match hold_against(key, &known.set, shop, &now, paper) {
        Compared::Same => None,
        Compared::Differs => Some("the statements it names come to something else"),
        Compared::CannotBe => {
            Some("it rests on other statements or rules than are here, so it was not compared")
        }
    };
    let place = |paper: &Issued| format!("{BOARD}/issued/{}/{}", key.slug(), paper.file());
    brought.filter_map(|paper| Some((place(paper), why(paper)?.to_owned()))).collect()
}

fn unread(folder: &Path, source: std::io::Error) -> DaemonError {
    DaemonError::Papers { folder: folder.to_owned(), source }
}

fn arrival(paper: &Shelved, hash: Digest, config: &Config) -> NewArrival {
    let from_place = paper.arrived.as_ref().and_then(|(date, time)| {
        let local = jiff::civil::DateTime::strptime("%Y-%m-%d %H%M%S", format!("{date} {time}")).ok()?;
        Some(config.zone.to_ambiguous_timestamp(local).compatible().ok()?.as_millisecond())
    });
    NewArrival {
        at: from_place.unwrap_or(paper.modified),
        name: paper.name.clone(),
        stamp: paper.stamp.clone(),
        size: paper.size,
        outcome: if paper.slip.is_some() { Outcome::Returned } else { Outcome::Filed },
        hash: Some(hash),
        job: None,
        kind: None,
        place: paper.place.clone(),
        slip: paper.slip.clone().unwrap_or_default(),
        bytes: None,
        remark: "from the folder, when the ledger was made anew".to_owned(),
    }
}

/// Folds every engine that a paper touched, and all of them when one was the shop's. Letters are not made.
fn fold_again(
    ledger: &mut Ledger,
    config: &Config,
    mut touched: BTreeSet<String>,
    now: Timestamp,
) -> Result<usize, DaemonError> {
    if touched.remove("") {
        touched.extend(ledger.job_keys()?);
    }
    let shop = ShopWide::load(ledger, &config.site)?.shop;
    let keys: Vec<JobKey> = touched.iter().filter_map(|job| JobKey::of(job, &config.site)).collect();
    for some in keys.chunks(64) {
        let mut batches = Vec::with_capacity(some.len());
        for key in some {
            let mut known = StoredJob::of(key, ledger)?;
            // What would gather is told now, to nobody. The lost ledger counted its letters too, and two letters of
            // one number are one letter.
            known.told.last = None;
            known.told.letters = known.told.letters.max(now.as_second().unsigned_abs());
            let known = TakenOut::stored(known, &config.site)?;
            batches.push(JobBatch { key: key.clone(), known, new: Vec::new() });
        }
        let mut batch = Batch::default();
        for answered in answer_all(batches, &Ground { shop: &shop, site: &config.site, now })? {
            batch.rows.push(as_untold(answered.row));
            batch.uses.extend(answered.uses);
            batch.issued.extend(answered.issued);
        }
        ledger.commit(&batch)?;
    }
    Ok(ledger.job_keys()?.len())
}

/// Nobody was written to: what comes up next leaves at once and does not gather.
fn as_untold(row: JobRow) -> JobRow {
    let told = serde_json::from_str::<Told>(&row.told).map(|told| Told { last: None, ..told });
    match told.and_then(|told| serde_json::to_string(&told)) {
        Ok(told) => JobRow { told, ..row },
        // Rows are written by this program a moment before; one that cannot be read stays as it is.
        Err(_) => row,
    }
}
