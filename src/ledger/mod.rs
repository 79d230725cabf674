//! The ledger: what was dropped, what arrived, the letters that follow and the papers issued, in one SQLite file.
//!
//! [`Ledger`] is the one writer of a site; [`Ledger::read_only`] looks on while it works. A [`Batch`] is
//! everything that one round of dropped files causes. [`Ledger::commit`] records it in one transaction:
//! all of it is on the disk when the call returns, or none of it is (promises 1 and 8). Recording the same
//! batch again changes nothing (promise 2).
//!
//! Drops, arrivals, letters and papers issued are only ever added. Each row carries a link, the digest of the row before
//! it and of its own content, so that [`Ledger::verify`] finds a changed, removed or reordered row
//! (promise 10). Job rows, delivery states and summary marks are notes that can be made anew or that only
//! matter until a letter is out; they are changed in place.
//!
//! SQLite's own checkpoint swallows errors, and a failed fsync must never be tried again: the kernel then
//! reports success for pages it has lost. So the ledger folds its write-ahead log itself, sees every
//! error, and after one that [`LedgerError::must_stop`] names it writes no more until it is opened anew.
//!
//! Boundary: the ledger stores text and bytes as given. It does not decode drops, judge, render letters,
//! send them, move papers or ask for the time; times are Unix milliseconds from the caller.

mod append;
mod chain;
mod copy;
mod error;
mod issued;
mod letters;
mod place;
mod read;
mod readers;
mod rows;
mod schema;
mod settings;
mod verify;

#[cfg(test)]
mod tests;

pub use error::LedgerError;
pub use issued::IssuedInfo;
pub use issued::NewIssue;
pub use letters::LetterCounts;
pub use letters::LetterInfo;
pub use letters::LetterMark;
pub use letters::LetterState;
pub use letters::Marked;
pub use letters::QueuedLetter;
pub use read::ArrivalInfo;
pub use read::Counts;
pub use read::KnownDrop;
pub use read::StoredDrop;
pub use readers::HeldLetter;
pub use readers::ReaderRow;
pub use rows::Batch;
pub use rows::JobRow;
pub use rows::NewArrival;
pub use rows::NewDrop;
pub use rows::NewLetter;
pub use rows::Outcome;
pub use rows::Owing;
pub use rows::Stale;
pub use rows::SummaryMark;
pub use verify::VerifyReport;

use error::failed;
use rusqlite::Connection;
use rusqlite::OpenFlags;
use rusqlite::Transaction;
use rusqlite::TransactionBehavior;
use rusqlite::config::DbConfig;
use std::fs::File;
use std::path::Path;

/// What every call of the ledger answers with.
pub type Result<T> = std::result::Result<T, LedgerError>;

/// Pages of 4 KiB that may gather in the write-ahead log before a commit folds them into the ledger file:
/// 128 MiB. Folding takes as long as a large commit, so it is left to idle times (`fold_log`); this only
/// bounds the log while there are none. A log of this size is read in a fraction of a second at the start.
const FOLD_AT_PAGES: i64 = 32_768;

/// An open ledger: the one writer, or one of several readers.
pub struct Ledger {
    conn: Connection,
    site: String,
    /// False only for a reader of a ledger from before papers were kept as they were issued.
    has_issued: bool,
    /// True once a write failed in a way that a second try would hide. Only `guard` sets it, nothing
    /// clears it: the ledger has to be opened anew.
    stopped: bool,
    /// `FOLD_AT_PAGES`, less in tests.
    fold_at_pages: i64,
    /// Held by the writer as long as it lives; readers hold none.
    _lock: Option<File>,
}

impl Ledger {
    /// Opens the ledger at `path` for writing and makes it, for `site`, where there is none.
    ///
    /// # Errors
    /// The place is a network or FUSE file system, another writer has it, it belongs to another site or
    /// another version, it is no ledger, or a safety setting did not take.
    pub fn create_or_open(path: &Path, site: &str) -> Result<Self> {
        settings::require_sqlite(rusqlite::version_number())?;
        place::refuse_share(path)?;
        let lock = place::lock(path)?;
        place::make_file(path)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut conn = Connection::open_with_flags(path, flags).map_err(failed("open the ledger"))?;
        // A plan must not depend on bound values: without this, look-ups are parsed anew at every call.
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)
            .map_err(failed("prepare the ledger"))?;
        let age = schema::age(&conn, path)?;
        settings::apply(&conn, settings::WRITER)?;
        // Closing would fold the log once more and drop the error.
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)
            .map_err(failed("prepare the ledger"))?;
        schema::bring_up(&mut conn, age, site)?;
        let stored = schema::site(&conn)?;
        if stored != site {
            return Err(LedgerError::OtherSite { path: path.into(), stored, asked: site.into() });
        }
        let lock = Some(lock);
        Ok(Self {
            conn,
            site: stored,
            has_issued: true,
            stopped: false,
            fold_at_pages: FOLD_AT_PAGES,
            _lock: lock,
        })
    }

    /// Opens the ledger at `path` for reading only, while its writer works or when none does.
    ///
    /// # Errors
    /// There is no ledger at `path`, it is of another version, or it cannot be opened.
    pub fn read_only(path: &Path) -> Result<Self> {
        settings::require_sqlite(rusqlite::version_number())?;
        if !path.exists() {
            return Err(LedgerError::Missing { path: path.into() });
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let conn = Connection::open_with_flags(path, flags).map_err(failed("open the ledger for reading"))?;
        let age = schema::age(&conn, path)?;
        age.require_readable(path)?;
        settings::apply(&conn, settings::READER)?;
        let site = schema::site(&conn)?;
        let has_issued = age.has_issued();
        Ok(Self { conn, site, has_issued, stopped: false, fold_at_pages: FOLD_AT_PAGES, _lock: None })
    }

    /// The site this ledger was made for.
    #[must_use]
    pub fn site(&self) -> &str {
        &self.site
    }

    /// Folds the write-ahead log into the ledger file, for idle times. Waits for nobody; what a reader holds
    /// back is folded another time. The log keeps its room on the disk, which makes the next commits quicker
    /// than after `checkpoint`.
    ///
    /// # Errors
    /// The disk is full or failed, or the ledger has stopped.
    pub fn fold_log(&mut self) -> Result<()> {
        self.require_writing()?;
        let folded = self.fold("PASSIVE");
        self.guard(folded)
    }

    /// Folds the write-ahead log and empties it, for the stop and before a copy is made. Waits up to a second
    /// for readers, so that a long one holds no stop up; what they hold back is folded another time.
    ///
    /// # Errors
    /// The disk is full or failed, or the ledger has stopped.
    pub fn checkpoint(&mut self) -> Result<()> {
        self.require_writing()?;
        self.wait_for_others("1000")?;
        let folded = self.fold("TRUNCATE");
        let folded = self.guard(folded);
        self.wait_for_others(settings::WAIT)?;
        folded
    }

    /// How long other programs are waited for, in milliseconds.
    fn wait_for_others(&self, limit: &str) -> Result<()> {
        let set = self.conn.pragma_update(None, "busy_timeout", limit);
        set.map_err(failed("change a setting of the ledger"))
    }

    /// Runs `work` in one transaction that takes the write lock at once; all of it stays, or nothing.
    fn write<T>(
        &mut self,
        doing: &'static str,
        work: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<T>,
    ) -> Result<T> {
        self.require_writing()?;
        let outcome = self.in_transaction(work).map_err(failed(doing));
        let value = self.guard(outcome)?;
        // From here on it is recorded. An error of the folding counts only if the ledger must stop: told
        // of any other one, the caller would drop a state that the disk has.
        match self.fold_when_long() {
            Err(error) if error.must_stop() => self.guard(Err(error)),
            Ok(()) | Err(_) => Ok(value),
        }
    }

    fn in_transaction<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<T>,
    ) -> rusqlite::Result<T> {
        let tx = self.conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let value = work(&tx)?;
        tx.commit()?;
        Ok(value)
    }

    fn fold_when_long(&self) -> Result<()> {
        let waiting: i64 = self
            .conn
            .query_row("PRAGMA wal_checkpoint(NOOP)", [], |row| {
                Ok(row.get::<_, i64>(1)?.saturating_sub(row.get(2)?))
            })
            .map_err(failed("measure the write-ahead log"))?;
        if waiting < self.fold_at_pages { Ok(()) } else { self.fold("PASSIVE") }
    }

    fn fold(&self, mode: &str) -> Result<()> {
        self.conn
            .query_row(&format!("PRAGMA wal_checkpoint({mode})"), [], |_| Ok(()))
            .map_err(failed("fold the write-ahead log into the ledger"))
    }

    fn require_writing(&self) -> Result<()> {
        if self.stopped { Err(LedgerError::Stopped) } else { Ok(()) }
    }

    fn guard<T>(&mut self, outcome: Result<T>) -> Result<T> {
        if let Err(error) = &outcome {
            self.stopped |= error.must_stop();
        }
        outcome
    }
}
