//! Reading back: drops, job rows, arrivals, counts. Each call is one statement, so readers hold nothing open.

use super::JobRow;
use super::Ledger;
use super::Outcome;
use super::Result;
use super::SummaryMark;
use super::error::failed;
use crate::facts::Digest;
use rusqlite::OptionalExtension;
use rusqlite::Params;
use rusqlite::Row;
use rusqlite::params;

/// More matches than this tell a person nothing.
const MOST_MATCHES: usize = 16;

/// No look at a job is put off for longer than this.
pub(super) const LONGEST_LOOK_MS: i64 = 24 * 3_600_000;

/// What is known of bytes that were accepted before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownDrop {
    /// SHA-256 of the decoded content.
    pub content: Digest,
    /// Job key, "" for the shop.
    pub job: String,
}

/// A recorded drop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredDrop {
    /// SHA-256 of `bytes`.
    pub hash: Digest,
    /// SHA-256 of the decoded content.
    pub content: Digest,
    /// The file as it was dropped.
    pub bytes: Vec<u8>,
    /// Order of recording, from 1; it says nothing about which reading counts.
    pub seq: i64,
}

/// A recorded arrival. Fields as in `NewArrival`, without the bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArrivalInfo {
    /// Order of arrival, from 1, without gaps.
    pub seq: i64,
    /// When it was taken, Unix milliseconds.
    pub at: i64,
    /// Its name as shown.
    pub name: String,
    /// Inode, modification time and size.
    pub stamp: String,
    /// Size in bytes.
    pub size: u64,
    /// What became of it.
    pub outcome: Outcome,
    /// SHA-256 of its bytes, if it was read.
    pub hash: Option<Digest>,
    /// Job key, "" for the shop, if known.
    pub job: Option<String>,
    /// Kind of the drop, if known.
    pub kind: Option<String>,
    /// Where the paper is filed, relative to the watch folder.
    pub place: String,
    /// The slip's text; "" unless returned.
    pub slip: String,
    /// What is worth knowing beside the outcome.
    pub remark: String,
}

/// How much the ledger holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Drops.
    pub drops: u64,
    /// Jobs that have a row.
    pub jobs: u64,
    /// Arrivals.
    pub arrivals: u64,
}

const ARRIVAL: &str =
    "SELECT seq, at, name, stamp, size, outcome, hash, job, kind, place, slip, remark FROM arrivals";
const JOB: &str = "SELECT job, written, row, told, next_look, stale FROM jobs";

impl Ledger {
    /// What is known of these bytes, by their hash.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn known(&self, hash: &Digest) -> Result<Option<KnownDrop>> {
        let sql = "SELECT content, job FROM drops WHERE substr(hash, 1, 4) = substr(?1, 1, 4) AND hash = ?1";
        self.one("look up a drop", sql, [hash], |row| {
            Ok(KnownDrop { content: row.get(0)?, job: row.get(1)? })
        })
    }

    /// True if a drop with this decoded content is recorded.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn known_content(&self, content: &Digest) -> Result<bool> {
        let sql =
            "SELECT 1 FROM drops WHERE substr(content, 1, 4) = substr(?1, 1, 4) AND content = ?1 LIMIT 1";
        Ok(self.one("look up a drop's content", sql, [content], |_| Ok(()))?.is_some())
    }

    /// The drops of one job, or of the shop for "", in the order they were recorded.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn drops_of(&self, job: &str) -> Result<Vec<StoredDrop>> {
        let sql = "SELECT hash, content, bytes, seq FROM drops WHERE job = ?1 ORDER BY seq";
        self.all("read the drops of a job", sql, [job], |row| {
            Ok(StoredDrop { hash: row.get(0)?, content: row.get(1)?, bytes: row.get(2)?, seq: row.get(3)? })
        })
    }

    /// The bytes with this hash, of a drop or of a returned paper.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn bytes_of(&self, hash: &Digest) -> Result<Option<Vec<u8>>> {
        let sql = "SELECT bytes FROM drops WHERE substr(hash, 1, 4) = substr(?1, 1, 4) AND hash = ?1
                   UNION ALL SELECT bytes FROM returned_bytes WHERE hash = ?1 LIMIT 1";
        self.one("read the bytes of a paper", sql, [hash], |row| row.get(0))
    }

    /// The drops whose hash begins with these hexadecimal digits, either case, at most 16 of them; none if
    /// the text is empty or not hexadecimal.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn drop_by_prefix(&self, hex: &str) -> Result<Vec<Digest>> {
        let bounds = Digest::from_hex(&format!("{hex:0<64}")).zip(Digest::from_hex(&format!("{hex:f<64}")));
        let Some((low, high)) = bounds.filter(|_| !hex.is_empty()) else { return Ok(Vec::new()) };
        let sql =
            "SELECT hash FROM drops WHERE substr(hash, 1, 4) BETWEEN substr(?1, 1, 4) AND substr(?2, 1, 4)
                   AND hash BETWEEN ?1 AND ?2 ORDER BY hash LIMIT ?3";
        self.all("look up a drop by its short form", sql, params![low, high, limit(MOST_MATCHES)], |row| {
            row.get(0)
        })
    }

    /// One job's row.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn job_row(&self, job: &str) -> Result<Option<JobRow>> {
        self.one("read a job's row", &format!("{JOB} WHERE job = ?1"), [job], job_row)
    }

    /// Every job's row, ordered by job key.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn job_rows(&self) -> Result<Vec<JobRow>> {
        self.all("read the job rows", &format!("{JOB} ORDER BY job"), [], job_row)
    }

    /// What the board shows of every job, JSON, ordered by job key.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn board_rows(&self) -> Result<Vec<String>> {
        self.all("read what the board shows", "SELECT row FROM jobs ORDER BY job", [], |row| row.get(0))
    }

    /// The key of every job, ordered.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn job_keys(&self) -> Result<Vec<String>> {
        self.all("read the keys of the jobs", "SELECT job FROM jobs ORDER BY job", [], |row| row.get(0))
    }

    /// Keys of jobs whose rows are stale, ordered, those after this key, at most so many.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn stale_jobs(&self, after: &str, at_most: usize) -> Result<Vec<String>> {
        let sql = "SELECT job FROM jobs WHERE stale = 1 AND job > ?1 ORDER BY job LIMIT ?2";
        self.all("read which jobs are stale", sql, params![after, limit(at_most)], |row| row.get(0))
    }

    /// Keys of jobs that rest on any of these keys, ordered.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn jobs_using(&self, keys: &[String]) -> Result<Vec<String>> {
        let mut jobs = std::collections::BTreeSet::new();
        for key in keys {
            let sql = "SELECT job FROM uses WHERE key = ?1";
            jobs.extend(
                self.all("read which jobs rest on something", sql, [key], |row| row.get::<_, String>(0))?,
            );
        }
        Ok(jobs.into_iter().collect())
    }

    /// Keys of jobs to be looked at by `now` without a drop, longest due first, at most so many. No look is put off
    /// for longer than a day: a later one was set by a clock that ran ahead and has been put right since.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn jobs_due(&self, now: i64, at_most: usize) -> Result<Vec<String>> {
        let sql = "SELECT job FROM jobs WHERE next_look <= ?1 OR next_look > ?2
                   ORDER BY next_look, job LIMIT ?3";
        let bounds = params![now, now.saturating_add(LONGEST_LOOK_MS), limit(at_most)];
        self.all("read which jobs are due", sql, bounds, |row| row.get(0))
    }

    /// The newest arrivals, newest first, at most so many.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn arrivals(&self, at_most: usize) -> Result<Vec<ArrivalInfo>> {
        let sql = format!("{ARRIVAL} ORDER BY seq DESC LIMIT ?1");
        self.all("read the newest arrivals", &sql, [limit(at_most)], arrival)
    }

    /// The returned papers among the arrivals after `after_seq` up to and with `to_seq`, oldest first.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn returned_between(&self, after_seq: i64, to_seq: i64) -> Result<Vec<ArrivalInfo>> {
        let sql = format!("{ARRIVAL} WHERE seq > ?1 AND seq <= ?2 AND outcome = 'returned' ORDER BY seq");
        self.all("read which papers were returned", &sql, [after_seq, to_seq], arrival)
    }

    /// How many papers were filed among the arrivals after `after_seq` up to and with `to_seq`.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn filed_between(&self, after_seq: i64, to_seq: i64) -> Result<u64> {
        let sql = "SELECT count(*) FROM arrivals WHERE seq > ?1 AND seq <= ?2 AND outcome = 'filed'";
        let filed = self.one("count the filed papers", sql, [after_seq, to_seq], |row| count(row, 0))?;
        Ok(filed.unwrap_or(0))
    }

    /// The jobs of the arrivals after `after_seq` up to and with `to_seq`, each once, ordered; "" for the shop.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn jobs_between(&self, after_seq: i64, to_seq: i64) -> Result<Vec<String>> {
        let sql = "SELECT DISTINCT job FROM arrivals
                   WHERE seq > ?1 AND seq <= ?2 AND job IS NOT NULL ORDER BY job";
        self.all("read the jobs of arrivals", sql, [after_seq, to_seq], |row| row.get(0))
    }

    /// Sequence of the newest arrival; 0 if there is none.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn last_arrival_seq(&self) -> Result<i64> {
        let sql = "SELECT last_seq FROM chains WHERE name = 'arrivals'";
        Ok(self.one("read the last arrival", sql, [], |row| row.get(0))?.unwrap_or(0))
    }

    /// The newest arrival of this very paper, if it was taken before: it is claimed again after a crash
    /// between the commit and its filing.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn arrival_seen(
        &self,
        name: &str,
        stamp: &str,
        hash: Option<&Digest>,
    ) -> Result<Option<ArrivalInfo>> {
        let hash = hash.map_or(&[][..], |hash| hash.as_bytes());
        let sql = format!("{ARRIVAL} WHERE stamp = ?1 AND name = ?2 AND hash = ?3 ORDER BY seq DESC LIMIT 1");
        self.one("look up an arrival", &sql, params![stamp, name, hash], arrival)
    }

    /// The newest arrival of these bytes after `after_seq`, whatever they were called; arrivals since then are all read.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn last_arrival_of(&self, hash: &Digest, after_seq: i64) -> Result<Option<ArrivalInfo>> {
        let sql = format!("{ARRIVAL} WHERE seq > ?1 AND hash = ?2 ORDER BY seq DESC LIMIT 1");
        self.one("look up what became of a paper", &sql, params![after_seq, hash], arrival)
    }

    /// The last local date whose summary is done, and how far it reached.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn last_summary(&self) -> Result<Option<SummaryMark>> {
        let sql = "SELECT date, to_seq FROM summaries ORDER BY date DESC LIMIT 1";
        self.one("read the last summary", sql, [], |row| {
            Ok(SummaryMark { date: row.get(0)?, to_seq: row.get(1)? })
        })
    }

    /// How many drops, jobs and arrivals there are.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn fold_counts(&self) -> Result<Counts> {
        let sql = "SELECT (SELECT last_seq FROM chains WHERE name = 'drops'), (SELECT count(*) FROM jobs),
                          (SELECT last_seq FROM chains WHERE name = 'arrivals')";
        let counts = self.one("count what the ledger holds", sql, [], |row| {
            Ok(Counts { drops: count(row, 0)?, jobs: count(row, 1)?, arrivals: count(row, 2)? })
        })?;
        Ok(counts.unwrap_or_default())
    }

    /// The first row, if there is one.
    pub(super) fn one<T>(
        &self,
        doing: &'static str,
        sql: &str,
        params: impl Params,
        read: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>> {
        let mut statement = self.conn.prepare_cached(sql).map_err(failed(doing))?;
        statement.query_row(params, read).optional().map_err(failed(doing))
    }

    /// Every row.
    pub(super) fn all<T>(
        &self,
        doing: &'static str,
        sql: &str,
        params: impl Params,
        read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>> {
        let mut statement = self.conn.prepare_cached(sql).map_err(failed(doing))?;
        let rows = statement.query_map(params, read).map_err(failed(doing))?;
        rows.collect::<rusqlite::Result<Vec<T>>>().map_err(failed(doing))
    }
}

fn job_row(row: &Row<'_>) -> rusqlite::Result<JobRow> {
    Ok(JobRow {
        job: row.get(0)?,
        written: row.get(1)?,
        row: row.get(2)?,
        told: row.get(3)?,
        next_look: row.get(4)?,
        stale: row.get(5)?,
    })
}

fn arrival(row: &Row<'_>) -> rusqlite::Result<ArrivalInfo> {
    Ok(ArrivalInfo {
        seq: row.get(0)?,
        at: row.get(1)?,
        name: row.get(2)?,
        stamp: row.get(3)?,
        size: count(row, 4)?,
        outcome: row.get(5)?,
        // Stored empty, not NULL, for a paper that was never read: NULLs are never the same paper.
        hash: if row.get_ref(6)?.as_blob()?.is_empty() { None } else { Some(row.get(6)?) },
        job: row.get(7)?,
        kind: row.get(8)?,
        place: row.get(9)?,
        slip: row.get(10)?,
        remark: row.get(11)?,
    })
}

/// A number that is never negative.
pub(super) fn count(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    let number: i64 = row.get(column)?;
    u64::try_from(number).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(column, number))
}

/// A row limit as SQLite takes it.
pub(super) fn limit(at_most: usize) -> i64 {
    i64::try_from(at_most).unwrap_or(i64::MAX)
}
