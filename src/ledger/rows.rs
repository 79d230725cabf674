//! What the caller records: one batch and its parts.

use super::HeldLetter;
use super::NewIssue;
use super::ReaderRow;
use crate::facts::Digest;
use rusqlite::ToSql;
use rusqlite::types::FromSql;
use rusqlite::types::FromSqlError;
use rusqlite::types::FromSqlResult;
use rusqlite::types::ToSqlOutput;
use rusqlite::types::ValueRef;

/// An accepted drop with its bytes. Times are Unix milliseconds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewDrop {
    /// SHA-256 of `bytes`; a drop is recorded once per hash.
    pub hash: Digest,
    /// SHA-256 of the decoded content.
    pub content: Digest,
    /// Job key, or "" for a shop-wide drop.
    pub job: String,
    /// Kind of the drop.
    pub kind: String,
    /// When its sender recorded it.
    pub recorded: i64,
    /// The file as it was dropped.
    pub bytes: Vec<u8>,
}

/// What became of a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Accepted; its drop is in the ledger.
    Filed,
    /// Accepted before; nothing changed.
    Copy,
    /// Refused, with a slip.
    Returned,
}

impl Outcome {
    /// The word that is stored.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Filed => "filed",
            Self::Copy => "copy",
            Self::Returned => "returned",
        }
    }
}

/// One paper that came through the drop folder. The same paper (name, stamp, hash) claimed again after a
/// crash is the same arrival; one that was returned first and accepted later is two.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewArrival {
    /// When it was taken, Unix milliseconds of our clock.
    pub at: i64,
    /// Its name as shown.
    pub name: String,
    /// Inode, modification time and size, which tell one paper from another of the same name.
    pub stamp: String,
    /// Size in bytes.
    pub size: u64,
    /// What became of it.
    pub outcome: Outcome,
    /// SHA-256 of its bytes; `None` if it was over the size limit and never read.
    pub hash: Option<Digest>,
    /// Job key, "" for the shop; `None` if it could not be read that far.
    pub job: Option<String>,
    /// Kind of the drop; `None` if it could not be read that far.
    pub kind: Option<String>,
    /// Where the paper is filed, relative to the watch folder.
    pub place: String,
    /// The slip's text; "" unless returned.
    pub slip: String,
    /// The bytes of a returned paper that was read. `verify` names a returned paper whose bytes are missing.
    pub bytes: Option<Vec<u8>>,
    /// What is worth knowing beside the outcome, such as "conflict copy".
    pub remark: String,
}

/// The small row per job that the board reads, and what people were told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JobRow {
    /// Job key.
    pub job: String,
    /// The job number as people write it.
    pub written: String,
    /// What the board shows, JSON.
    pub row: String,
    /// What was told, JSON.
    pub told: String,
    /// When to look at the job again without a drop, Unix milliseconds, at most a day ahead.
    pub next_look: Option<i64>,
    /// The row is older than a drop it rests on.
    pub stale: bool,
}

/// An engine that is owed a look: its statements are in the ledger, its row is not made from them yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owing {
    /// Job key.
    pub job: String,
    /// The job number as people write it; for an engine that has no row yet.
    pub written: String,
}

/// A rendered letter to queue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewLetter {
    /// Names the cause and the recipient; a letter is queued once per key.
    pub key: String,
    /// Job key, if it is about one job.
    pub job: Option<String>,
    /// Address.
    pub recipient: String,
    /// Message-ID with its angle brackets.
    pub message_id: String,
    /// The whole message, sent as it is, every time.
    pub mail: Vec<u8>,
    /// When it was rendered, Unix milliseconds.
    pub created: i64,
}

/// Which job rows a batch makes stale.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Stale {
    /// None.
    #[default]
    None,
    /// Those of the jobs that use any of these keys.
    Using(Vec<String>),
    /// Every one.
    All,
}

/// How far the daily summary has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SummaryMark {
    /// Local date that is done, as 2026-11-25.
    pub date: String,
    /// Sequence of the last arrival it covered.
    pub to_seq: i64,
}

/// Everything one round of dropped files causes, recorded together or not at all.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Batch {
    /// Accepted drops; one whose hash is known is passed over.
    pub drops: Vec<NewDrop>,
    /// Papers; one that was recorded before is passed over.
    pub arrivals: Vec<NewArrival>,
    /// Job rows to write. They are written after `stale` is applied, so their own `stale` stands.
    pub rows: Vec<JobRow>,
    /// Letters; one whose key is known is passed over.
    pub letters: Vec<NewLetter>,
    /// Papers that are issued; a version that is recorded is passed over.
    pub issued: Vec<NewIssue>,
    /// Letters that wait for room; one whose key is held is passed over.
    pub held: Vec<HeldLetter>,
    /// Keys of held letters that one of `letters` says now.
    pub let_go: Vec<String>,
    /// What is remembered of those who get letters, one row a person.
    pub readers: Vec<ReaderRow>,
    /// Which job rests on what, as (job, key) with keys like "gauge:M1". Only ever added.
    pub uses: Vec<(String, String)>,
    /// Job rows that are now out of date; `uses` of this batch count already.
    pub stale: Stale,
    /// Job rows that are older than the drops of this batch. One of `rows` is not.
    pub owing: Vec<Owing>,
    /// A summary that this batch queues; a date that is done stays as it is.
    pub summary: Option<SummaryMark>,
}

impl ToSql for Outcome {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(ValueRef::Text(self.word().as_bytes())))
    }
}

impl FromSql for Outcome {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        match value.as_str()? {
            "filed" => Ok(Self::Filed),
            "copy" => Ok(Self::Copy),
            "returned" => Ok(Self::Returned),
            _ => Err(FromSqlError::InvalidType),
        }
    }
}

impl ToSql for Digest {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(ValueRef::Blob(self.as_bytes())))
    }
}

impl FromSql for Digest {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        let bytes = value.as_blob()?;
        let wrong = FromSqlError::InvalidBlobSize { expected_size: 32, blob_size: bytes.len() };
        Self::from_bytes(bytes).ok_or(wrong)
    }
}
