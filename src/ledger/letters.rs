//! The letter queue: which letters are due, and what became of each try.

use super::Ledger;
use super::LedgerError;
use super::Result;
use super::read::count;
use super::read::limit;
use rusqlite::Row;
use rusqlite::params;
use rusqlite::types::FromSql;
use rusqlite::types::FromSqlError;
use rusqlite::types::FromSqlResult;
use rusqlite::types::ValueRef;

/// No try is put off for longer than this. A later one was set by a clock that ran ahead and has been put
/// right since; the letter is due.
const LONGEST_WAIT_MS: i64 = 24 * 3_600_000;

/// A letter to send now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QueuedLetter {
    /// Its number.
    pub id: i64,
    /// Address.
    pub recipient: String,
    /// Message-ID with its angle brackets.
    pub message_id: String,
    /// The whole message, as rendered.
    pub mail: Vec<u8>,
    /// Tries so far.
    pub attempts: u32,
    /// When it was rendered, Unix milliseconds.
    pub created: i64,
}

/// What became of one try.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marked {
    /// The mail server took it.
    Sent,
    /// Try again at this time, Unix milliseconds, at most a day ahead.
    RetryAt(i64),
    /// Given up.
    Dead,
}

/// One try of one letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetterMark {
    /// The letter's number.
    pub id: i64,
    /// When it was tried, Unix milliseconds.
    pub at: i64,
    /// What became of it.
    pub marked: Marked,
    /// What the mail server said.
    pub text: String,
}

/// Where a letter stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LetterState {
    /// To be sent, or tried again.
    Waiting,
    /// Accepted by the mail server.
    Sent,
    /// Given up.
    Dead,
}

/// How many letters stand where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LetterCounts {
    /// To be sent, or tried again.
    pub waiting: u64,
    /// Accepted by the mail server.
    pub sent: u64,
    /// Given up.
    pub dead: u64,
}

/// A letter without its text, for pages and tests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetterInfo {
    /// Its number, in the order of queueing.
    pub id: i64,
    /// Job key, if it is about one job.
    pub job: Option<String>,
    /// Address.
    pub recipient: String,
    /// Message-ID with its angle brackets.
    pub message_id: String,
    /// When it was rendered, Unix milliseconds.
    pub created: i64,
    /// Where it stands.
    pub state: LetterState,
    /// Tries so far.
    pub attempts: u32,
    /// When it was last tried, Unix milliseconds.
    pub last_try: Option<i64>,
    /// What the mail server said last.
    pub last_text: String,
}

const LETTER: &str =
    "SELECT l.seq, l.job, l.recipient, l.message_id, l.created, d.state, d.attempts, d.last_try,
    d.last_text FROM letters l JOIN deliveries d ON d.letter = l.seq";

impl Ledger {
    /// Letters to send now, new ones first, at most so many. A letter in the sender's hands stays due until
    /// it is marked; ask for more than are there.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn due_letters(&self, now: i64, at_most: usize) -> Result<Vec<QueuedLetter>> {
        let sql = "SELECT l.seq, l.recipient, l.message_id, l.mail, d.attempts, l.created
                   FROM deliveries d JOIN letters l ON l.seq = d.letter
                   WHERE d.state = 'waiting' AND (d.next_try <= ?1 OR d.next_try > ?2)
                   ORDER BY d.next_try, d.letter LIMIT ?3";
        let bounds = params![now, now.saturating_add(LONGEST_WAIT_MS), limit(at_most)];
        self.all("read which letters are due", sql, bounds, |row| {
            Ok(QueuedLetter {
                id: row.get(0)?,
                recipient: row.get(1)?,
                message_id: row.get(2)?,
                mail: row.get(3)?,
                attempts: row.get(4)?,
                created: row.get(5)?,
            })
        })
    }

    /// The earliest time a waiting letter is due, Unix milliseconds; 0 for one never tried.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn next_letter(&self) -> Result<Option<i64>> {
        let sql = "SELECT next_try FROM deliveries WHERE state = 'waiting' ORDER BY next_try LIMIT 1";
        self.one("read when a letter is due", sql, [], |row| row.get(0))
    }

    /// Notes what became of tries, all together. A letter that is no longer waiting stays as it is, so that
    /// marking twice is harmless.
    ///
    /// # Errors
    /// A letter is unknown (then nothing is marked), the disk is full or failed.
    pub fn mark_letters(&mut self, marks: &[LetterMark]) -> Result<()> {
        for mark in marks {
            let sql = "SELECT 1 FROM deliveries WHERE letter = ?1";
            if self.one("look up a letter", sql, [mark.id], |_| Ok(()))?.is_none() {
                return Err(LedgerError::UnknownLetter { id: mark.id });
            }
        }
        self.write("mark letters", |tx| {
            let mut update = tx.prepare_cached(
                "UPDATE deliveries SET state = ?2, next_try = coalesce(?3, next_try), attempts = attempts + 1,
                   last_try = ?4, last_text = ?5
                 WHERE letter = ?1 AND state = 'waiting'",
            )?;
            for LetterMark { id, at, marked, text } in marks {
                let (state, next_try) = match marked {
                    Marked::Sent => ("sent", None),
                    Marked::RetryAt(time) => ("waiting", Some(*time)),
                    Marked::Dead => ("dead", None),
                };
                update.execute(params![id, state, next_try, at, text])?;
            }
            Ok(())
        })
    }

    /// How many letters wait, are sent and are given up.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn letter_counts(&self) -> Result<LetterCounts> {
        let sql = "SELECT state, count(*) FROM deliveries GROUP BY state";
        let mut counts = LetterCounts::default();
        for (state, n) in self.all("count the letters", sql, [], |row| Ok((row.get(0)?, count(row, 1)?)))? {
            match state {
                LetterState::Waiting => counts.waiting = n,
                LetterState::Sent => counts.sent = n,
                LetterState::Dead => counts.dead = n,
            }
        }
        Ok(counts)
    }

    /// How many letters were given up; quick however many were sent.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn letters_given_up(&self) -> Result<u64> {
        let sql = "SELECT count(*) FROM deliveries WHERE state = 'dead'";
        Ok(self.one("count the letters that were given up", sql, [], |row| count(row, 0))?.unwrap_or(0))
    }

    /// Letters that are not delivered, waiting and given up, in the order they were queued, at most so many.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn undelivered(&self, at_most: usize) -> Result<Vec<LetterInfo>> {
        let at_most = i64::try_from(at_most).unwrap_or(i64::MAX);
        let sql = format!("{LETTER} WHERE d.state IN ('waiting', 'dead') ORDER BY l.seq LIMIT ?1");
        self.all("read the undelivered letters", &sql, [at_most], letter)
    }

    /// Every letter, in the order they were queued.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn letters(&self) -> Result<Vec<LetterInfo>> {
        self.all("read the letters", &format!("{LETTER} ORDER BY l.seq"), [], letter)
    }
}

fn letter(row: &Row<'_>) -> rusqlite::Result<LetterInfo> {
    Ok(LetterInfo {
        id: row.get(0)?,
        job: row.get(1)?,
        recipient: row.get(2)?,
        message_id: row.get(3)?,
        created: row.get(4)?,
        state: row.get(5)?,
        attempts: row.get(6)?,
        last_try: row.get(7)?,
        last_text: row.get(8)?,
    })
}

impl FromSql for LetterState {
    fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
        match value.as_str()? {
            "waiting" => Ok(Self::Waiting),
            "sent" => Ok(Self::Sent),
            "dead" => Ok(Self::Dead),
            _ => Err(FromSqlError::InvalidType),
        }
    }
}
