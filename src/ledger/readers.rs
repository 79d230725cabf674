//! Who has had how many letters, and the letters that wait for room. Notes beside the queue: once a letter is in the
//! queue it stays there, what is held is let go as one letter and taken out in the same transaction.

use super::Batch;
use super::Ledger;
use super::Result;
use super::read::LONGEST_LOOK_MS;
use super::read::count;
use rusqlite::Transaction;
use rusqlite::params;

/// What is remembered of one person who gets letters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReaderRow {
    /// Address.
    pub recipient: String,
    /// When letters left to them, JSON.
    pub budget: String,
    /// When letters that are held may leave, Unix milliseconds; `None` when none is held.
    pub next_look: Option<i64>,
}

/// A letter that waits, worded and not rendered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldLetter {
    /// Names the cause and the recipient; a letter is held once per key.
    pub key: String,
    /// Address.
    pub recipient: String,
    /// The letter, JSON.
    pub letter: String,
}

impl Ledger {
    /// What is remembered of one person.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn reader(&self, recipient: &str) -> Result<Option<ReaderRow>> {
        let sql = "SELECT recipient, budget, next_look FROM readers WHERE recipient = ?1";
        self.one("read how many letters a person got", sql, [recipient], |row| {
            Ok(ReaderRow { recipient: row.get(0)?, budget: row.get(1)?, next_look: row.get(2)? })
        })
    }

    /// A person whose held letters may leave by `now`, longest due first. None is held for longer than a day: a later
    /// time was set by a clock that ran ahead and has been put right since.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn reader_due(&self, now: i64) -> Result<Option<String>> {
        let sql = "SELECT recipient FROM readers WHERE next_look <= ?1 OR next_look > ?2
                   ORDER BY next_look, recipient LIMIT 1";
        let bounds = params![now, now.saturating_add(LONGEST_LOOK_MS)];
        self.one("read whose letters are due", sql, bounds, |row| row.get(0))
    }

    /// The letters held for one person, in the order they were written.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn held_letters(&self, recipient: &str) -> Result<Vec<HeldLetter>> {
        let sql = "SELECT key, recipient, letter FROM held_letters WHERE recipient = ?1 ORDER BY seq";
        self.all("read the letters that are held", sql, [recipient], |row| {
            Ok(HeldLetter { key: row.get(0)?, recipient: row.get(1)?, letter: row.get(2)? })
        })
    }

    /// How many letters are held.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn letters_held(&self) -> Result<u64> {
        let sql = "SELECT count(*) FROM held_letters";
        Ok(self.one("count the letters that are held", sql, [], |row| count(row, 0))?.unwrap_or(0))
    }

    /// The Message-ID of the first letter about a job to a person, which begins their thread.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn thread_of(&self, job: &str, recipient: &str) -> Result<Option<String>> {
        let sql = "SELECT message_id FROM letters WHERE job = ?1 AND recipient = ?2 ORDER BY seq LIMIT 1";
        self.one("look up the first letter of a thread", sql, [job, recipient], |row| row.get(0))
    }
}

/// What is let go before what is held: a letter that comes again under its key is held again.
pub(super) fn write(tx: &Transaction<'_>, batch: &Batch) -> rusqlite::Result<()> {
    let mut delete = tx.prepare_cached("DELETE FROM held_letters WHERE key = ?1")?;
    for key in &batch.let_go {
        delete.execute([key])?;
    }
    let mut insert = tx.prepare_cached(
        "INSERT INTO held_letters (key, recipient, letter) VALUES (?1, ?2, ?3) ON CONFLICT (key) DO NOTHING",
    )?;
    for HeldLetter { key, recipient, letter } in &batch.held {
        insert.execute([key, recipient, letter])?;
    }
    let mut upsert = tx.prepare_cached(
        "INSERT INTO readers (recipient, budget, next_look) VALUES (?1, ?2, ?3)
         ON CONFLICT (recipient) DO UPDATE SET budget = excluded.budget, next_look = excluded.next_look",
    )?;
    for ReaderRow { recipient, budget, next_look } in &batch.readers {
        upsert.execute(params![recipient, budget, next_look])?;
    }
    Ok(())
}
