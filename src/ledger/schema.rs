//! The tables, and the ladder that brings an older ledger up to them.

use super::LedgerError;
use super::Result;
use super::chain::Chain;
use super::error::failed;
use rusqlite::Connection;
use rusqlite::TransactionBehavior;
use std::path::Path;

/// "Bdrp": marks the file as a ledger of ours.
const APPLICATION_ID: i64 = 0x4264_7270;

/// One step per version of the tables; `user_version` says how many have been climbed.
const LADDER: [&str; 3] = [FIRST_TABLES, READERS, ISSUED];

/// The version this program writes.
#[expect(clippy::cast_possible_wrap, reason = "the ladder has a handful of steps")]
const KNOWN: i64 = LADDER.len() as i64;

/// Bytes come last in a row, so that reading what stands before them leaves their pages alone.
///
/// Drops are found by the first four bytes of a hash, the rest is compared: hashes fall anywhere in an
/// index, and the pages a backlog touches there are most of what it costs in a large ledger. A UNIQUE index
/// of whole hashes took a third more time at 1,000,000 drops. That a hash is recorded once is kept by the
/// insert, which runs under the write lock, and looked after by `verify`.
///
/// Arrivals: stamps begin with the inode, which makes the papers of one batch neighbours in their index.
/// Letters and their delivery are apart, so that a new try does not write the whole letter again.
const FIRST_TABLES: &str = "
CREATE TABLE ledger (
  only_row  INTEGER PRIMARY KEY CHECK (only_row = 1),
  site      TEXT NOT NULL
) STRICT;

CREATE TABLE chains (
  name      TEXT PRIMARY KEY,
  last_seq  INTEGER NOT NULL,
  last_link BLOB NOT NULL CHECK (length(last_link) = 32)
) STRICT;

CREATE TABLE drops (
  seq       INTEGER PRIMARY KEY,
  hash      BLOB NOT NULL CHECK (length(hash) = 32),
  content   BLOB NOT NULL CHECK (length(content) = 32),
  job       TEXT NOT NULL,
  kind      TEXT NOT NULL,
  recorded  INTEGER NOT NULL,
  link      BLOB NOT NULL CHECK (length(link) = 32),
  bytes     BLOB NOT NULL
) STRICT;
CREATE INDEX drops_of_job ON drops (job);
CREATE INDEX drops_with_hash ON drops (substr(hash, 1, 4));
CREATE INDEX drops_with_content ON drops (substr(content, 1, 4));

CREATE TABLE arrivals (
  seq       INTEGER PRIMARY KEY,
  at        INTEGER NOT NULL,
  name      TEXT NOT NULL,
  stamp     TEXT NOT NULL,
  size      INTEGER NOT NULL,
  outcome   TEXT NOT NULL CHECK (outcome IN ('filed', 'copy', 'returned')),
  hash      BLOB NOT NULL CHECK (length(hash) IN (0, 32)),
  job       TEXT,
  kind      TEXT,
  place     TEXT NOT NULL,
  slip      TEXT NOT NULL,
  remark    TEXT NOT NULL,
  link      BLOB NOT NULL CHECK (length(link) = 32)
) STRICT;
CREATE UNIQUE INDEX arrivals_once ON arrivals (stamp, name, hash, outcome = 'returned');

CREATE TABLE returned_bytes (
  hash      BLOB PRIMARY KEY NOT NULL CHECK (length(hash) = 32),
  bytes     BLOB NOT NULL
) STRICT;

CREATE TABLE letters (
  seq        INTEGER PRIMARY KEY,
  key        TEXT NOT NULL UNIQUE,
  job        TEXT,
  recipient  TEXT NOT NULL CHECK (recipient <> ''),
  message_id TEXT NOT NULL CHECK (message_id <> ''),
  created    INTEGER NOT NULL,
  hash       BLOB NOT NULL CHECK (length(hash) = 32),
  link       BLOB NOT NULL CHECK (length(link) = 32),
  mail       BLOB NOT NULL
) STRICT;

CREATE TABLE deliveries (
  letter    INTEGER PRIMARY KEY REFERENCES letters (seq),
  state     TEXT NOT NULL CHECK (state IN ('waiting', 'sent', 'dead')),
  attempts  INTEGER NOT NULL,
  next_try  INTEGER NOT NULL,
  last_try  INTEGER,
  last_text TEXT NOT NULL
) STRICT;
CREATE INDEX deliveries_due ON deliveries (state, next_try);

CREATE TABLE jobs (
  job       TEXT PRIMARY KEY,
  written   TEXT NOT NULL,
  stale     INTEGER NOT NULL CHECK (stale IN (0, 1)),
  next_look INTEGER,
  row       TEXT NOT NULL,
  told      TEXT NOT NULL
) STRICT;
CREATE INDEX jobs_stale ON jobs (job) WHERE stale = 1;
CREATE INDEX jobs_due ON jobs (next_look) WHERE next_look IS NOT NULL;

CREATE TABLE uses (
  key       TEXT NOT NULL,
  job       TEXT NOT NULL,
  PRIMARY KEY (key, job)
) STRICT, WITHOUT ROWID;

CREATE TABLE summaries (
  date      TEXT PRIMARY KEY,
  to_seq    INTEGER NOT NULL
) STRICT;
";

/// What one person gets within the hour, what waits for them, and the way to the first letter of a thread.
const READERS: &str = "
CREATE TABLE readers (
  recipient TEXT PRIMARY KEY,
  budget    TEXT NOT NULL,
  next_look INTEGER
) STRICT;
CREATE INDEX readers_due ON readers (next_look) WHERE next_look IS NOT NULL;

CREATE TABLE held_letters (
  seq       INTEGER PRIMARY KEY,
  key       TEXT NOT NULL UNIQUE,
  recipient TEXT NOT NULL CHECK (recipient <> ''),
  letter    TEXT NOT NULL
) STRICT;
CREATE INDEX held_for ON held_letters (recipient);

CREATE INDEX letters_of_thread ON letters (job, recipient) WHERE job IS NOT NULL;
";

/// Papers as they were handed over. An engine that was delivered before there was such a table is looked at again, so that
/// its record is issued too.
const ISSUED: &str = "
CREATE TABLE issued (
  seq       INTEGER PRIMARY KEY,
  job       TEXT NOT NULL,
  paper     TEXT NOT NULL CHECK (paper <> ''),
  version   INTEGER NOT NULL CHECK (version > 0),
  at        INTEGER NOT NULL,
  rule_set  INTEGER NOT NULL,
  signature BLOB NOT NULL CHECK (length(signature) = 32),
  facts     BLOB NOT NULL CHECK (length(facts) = 32),
  content   BLOB NOT NULL CHECK (length(content) = 32),
  hash      BLOB NOT NULL CHECK (length(hash) = 32),
  link      BLOB NOT NULL CHECK (length(link) = 32),
  bytes     BLOB NOT NULL
) STRICT;
CREATE UNIQUE INDEX issued_once ON issued (job, version, paper);

UPDATE jobs SET stale = 1 WHERE job IN
  (SELECT job FROM drops WHERE kind = 'sign-off' AND instr(bytes, CAST('delivered' AS BLOB)) > 0);
";

/// How far up the ladder a ledger is; 0 for an empty file.
pub(super) struct Age(i64);

/// The first version that keeps papers as they were issued.
const WITH_ISSUED: i64 = 3;

impl Age {
    /// A reader climbs no ladder. It reads what it knows how to: a ledger from before papers were kept has none.
    pub(super) fn require_readable(&self, path: &Path) -> Result<()> {
        match self.0 {
            2..=KNOWN => Ok(()),
            0 => Err(LedgerError::NotALedger { path: path.into() }),
            found => Err(LedgerError::OtherVersion { path: path.into(), found, known: KNOWN }),
        }
    }

    /// It has the table of papers issued.
    pub(super) const fn has_issued(&self) -> bool {
        self.0 >= WITH_ISSUED
    }
}

/// Looks at what the file is before anything in it is changed.
pub(super) fn age(conn: &Connection, path: &Path) -> Result<Age> {
    let number = |sql: &str| {
        conn.query_row(sql, [], |row| row.get::<_, i64>(0)).map_err(|error| {
            if error.sqlite_error_code() == Some(rusqlite::ErrorCode::NotADatabase) {
                LedgerError::NotALedger { path: path.into() }
            } else {
                failed("read what kind of file the ledger is")(error)
            }
        })
    };
    let application = number("PRAGMA application_id")?;
    let version = number("PRAGMA user_version")?;
    let n_objects = number("SELECT count(*) FROM sqlite_schema")?;
    match (application, version) {
        // Made, but the power went before its tables were.
        (0, 0) if n_objects == 0 => Ok(Age(0)),
        (APPLICATION_ID, 1..=KNOWN) => Ok(Age(version)),
        (APPLICATION_ID, found) => Err(LedgerError::OtherVersion { path: path.into(), found, known: KNOWN }),
        _ => Err(LedgerError::NotALedger { path: path.into() }),
    }
}

/// Climbs the rest of the ladder in one transaction; a new ledger gets its site and the starts of its chains.
pub(super) fn bring_up(conn: &mut Connection, age: Age, site: &str) -> Result<()> {
    if age.0 == KNOWN {
        return Ok(());
    }
    let climb = |conn: &mut Connection| {
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        for step in LADDER.iter().skip(usize::try_from(age.0).unwrap_or(0)) {
            tx.execute_batch(step)?;
        }
        if age.0 == 0 {
            tx.pragma_update(None, "application_id", APPLICATION_ID)?;
            tx.execute("INSERT INTO ledger (only_row, site) VALUES (1, ?1)", [site])?;
        }
        let own: String = tx.query_row("SELECT site FROM ledger", [], |row| row.get(0))?;
        Chain::begin_missing(&tx, &own)?;
        tx.pragma_update(None, "user_version", KNOWN)?;
        tx.commit()
    };
    climb(conn).map_err(failed("make the tables of the ledger"))
}

/// The site the ledger was made for.
pub(super) fn site(conn: &Connection) -> Result<String> {
    conn.query_row("SELECT site FROM ledger", [], |row| row.get(0)).map_err(failed("read the ledger's site"))
}
