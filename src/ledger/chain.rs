//! The hash chain: each row's link is the digest of the link before it and of the row's own content.
//!
//! Bytes enter a link by their hash, so that a link costs little. One chain for each table that only
//! grows. The end of each is kept apart, so that rows missing from the end are noticed too.

use crate::facts::Digest;
use rusqlite::Connection;
use rusqlite::Row;
use rusqlite::params;

/// Tables that only grow, each with a chain of its name.
pub(super) const TABLES: [&str; 4] = ["drops", "arrivals", "letters", "issued"];

/// The end of one chain.
pub(super) struct Chain {
    table: &'static str,
    /// Sequence of the last row; rows are numbered from 1 without gaps.
    pub(super) seq: i64,
    /// Link of the last row.
    pub(super) link: Digest,
}

impl Chain {
    /// The empty chain of a table; it depends on the site, so that rows cannot move between ledgers.
    pub(super) fn start(table: &'static str, site: &str) -> Self {
        let link = Digest::of_pieces(&[b"benchdrop ledger", table.as_bytes(), site.as_bytes()]);
        Self { table, seq: 0, link }
    }

    /// Stores the empty chains of a new ledger, or of the tables that an older one did not have.
    pub(super) fn begin_missing(conn: &Connection, site: &str) -> rusqlite::Result<()> {
        let mut insert = conn.prepare(
            "INSERT INTO chains (name, last_seq, last_link) VALUES (?1, ?2, ?3) ON CONFLICT (name) DO NOTHING",
        )?;
        for table in TABLES {
            let chain = Self::start(table, site);
            insert.execute(params![table, chain.seq, chain.link])?;
        }
        Ok(())
    }

    /// The stored end of a table's chain.
    pub(super) fn load(conn: &Connection, table: &'static str) -> rusqlite::Result<Self> {
        conn.prepare_cached("SELECT last_seq, last_link FROM chains WHERE name = ?1")?
            .query_row([table], |row| Ok(Self { table, seq: row.get(0)?, link: row.get(1)? }))
    }

    /// Stores this end.
    pub(super) fn store(&self, conn: &Connection) -> rusqlite::Result<()> {
        conn.prepare_cached("UPDATE chains SET last_seq = ?2, last_link = ?3 WHERE name = ?1")?
            .execute(params![self.table, self.seq, self.link])?;
        Ok(())
    }

    /// The number of the row to add.
    pub(super) fn next(&self) -> i64 {
        self.seq.saturating_add(1)
    }

    /// A row was added.
    pub(super) fn advance(&mut self, link: Digest) {
        self.seq = self.next();
        self.link = link;
    }
}

/// What a link of the drops rests on.
pub(super) struct DropLine<'a> {
    pub(super) hash: &'a [u8],
    pub(super) content: &'a [u8],
    pub(super) job: &'a str,
    pub(super) kind: &'a str,
    pub(super) recorded: i64,
}

impl<'a> DropLine<'a> {
    /// The columns `of` reads, in its order.
    pub(super) const COLUMNS: &'static str = "hash, content, job, kind, recorded";

    /// From a row whose columns begin with a sequence and a link.
    pub(super) fn of(row: &'a Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            hash: row.get_ref(2)?.as_blob()?,
            content: row.get_ref(3)?.as_blob()?,
            job: row.get_ref(4)?.as_str()?,
            kind: row.get_ref(5)?.as_str()?,
            recorded: row.get(6)?,
        })
    }

    pub(super) fn link(&self, before: &Digest, seq: i64) -> Digest {
        Digest::of_pieces(&[
            before.as_bytes(),
            &seq.to_be_bytes(),
            self.hash,
            self.content,
            self.job.as_bytes(),
            self.kind.as_bytes(),
            &self.recorded.to_be_bytes(),
        ])
    }
}

/// What a link of the arrivals rests on.
pub(super) struct ArrivalLine<'a> {
    pub(super) at: i64,
    pub(super) name: &'a str,
    pub(super) stamp: &'a str,
    pub(super) size: i64,
    pub(super) outcome: &'a str,
    pub(super) hash: &'a [u8],
    pub(super) job: Option<&'a str>,
    pub(super) kind: Option<&'a str>,
    pub(super) place: &'a str,
    pub(super) slip: &'a str,
    pub(super) remark: &'a str,
}

impl<'a> ArrivalLine<'a> {
    /// The columns `of` reads, in its order.
    pub(super) const COLUMNS: &'static str =
        "at, name, stamp, size, outcome, hash, job, kind, place, slip, remark";

    /// From a row whose columns begin with a sequence and a link.
    pub(super) fn of(row: &'a Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            at: row.get(2)?,
            name: row.get_ref(3)?.as_str()?,
            stamp: row.get_ref(4)?.as_str()?,
            size: row.get(5)?,
            outcome: row.get_ref(6)?.as_str()?,
            hash: row.get_ref(7)?.as_blob()?,
            job: row.get_ref(8)?.as_str_or_null()?,
            kind: row.get_ref(9)?.as_str_or_null()?,
            place: row.get_ref(10)?.as_str()?,
            slip: row.get_ref(11)?.as_str()?,
            remark: row.get_ref(12)?.as_str()?,
        })
    }

    pub(super) fn link(&self, before: &Digest, seq: i64) -> Digest {
        Digest::of_pieces(&[
            before.as_bytes(),
            &seq.to_be_bytes(),
            &self.at.to_be_bytes(),
            self.name.as_bytes(),
            self.stamp.as_bytes(),
            &self.size.to_be_bytes(),
            self.outcome.as_bytes(),
            self.hash,
            &present(self.job),
            self.job.unwrap_or_default().as_bytes(),
            &present(self.kind),
            self.kind.unwrap_or_default().as_bytes(),
            self.place.as_bytes(),
            self.slip.as_bytes(),
            self.remark.as_bytes(),
        ])
    }
}

/// What a link of the letters rests on.
pub(super) struct LetterLine<'a> {
    pub(super) key: &'a str,
    pub(super) job: Option<&'a str>,
    pub(super) recipient: &'a str,
    pub(super) message_id: &'a str,
    pub(super) created: i64,
    pub(super) hash: &'a [u8],
}

impl<'a> LetterLine<'a> {
    /// The columns `of` reads, in its order.
    pub(super) const COLUMNS: &'static str = "key, job, recipient, message_id, created, hash";

    /// From a row whose columns begin with a sequence and a link.
    pub(super) fn of(row: &'a Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            key: row.get_ref(2)?.as_str()?,
            job: row.get_ref(3)?.as_str_or_null()?,
            recipient: row.get_ref(4)?.as_str()?,
            message_id: row.get_ref(5)?.as_str()?,
            created: row.get(6)?,
            hash: row.get_ref(7)?.as_blob()?,
        })
    }

    pub(super) fn link(&self, before: &Digest, seq: i64) -> Digest {
        Digest::of_pieces(&[
            before.as_bytes(),
            &seq.to_be_bytes(),
            self.key.as_bytes(),
            &present(self.job),
            self.job.unwrap_or_default().as_bytes(),
            self.recipient.as_bytes(),
            self.message_id.as_bytes(),
            &self.created.to_be_bytes(),
            self.hash,
        ])
    }
}

/// What a link of the papers issued rests on.
pub(super) struct IssuedLine<'a> {
    pub(super) job: &'a str,
    pub(super) paper: &'a str,
    pub(super) version: u32,
    pub(super) at: i64,
    pub(super) rule_set: u32,
    pub(super) signature: &'a [u8],
    pub(super) facts: &'a [u8],
    pub(super) content: &'a [u8],
    pub(super) hash: &'a [u8],
}

impl<'a> IssuedLine<'a> {
    /// The columns `of` reads, in its order.
    pub(super) const COLUMNS: &'static str =
        "job, paper, version, at, rule_set, signature, facts, content, hash";

    /// From a row whose columns begin with a sequence and a link.
    pub(super) fn of(row: &'a Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            job: row.get_ref(2)?.as_str()?,
            paper: row.get_ref(3)?.as_str()?,
            version: row.get(4)?,
            at: row.get(5)?,
            rule_set: row.get(6)?,
            signature: row.get_ref(7)?.as_blob()?,
            facts: row.get_ref(8)?.as_blob()?,
            content: row.get_ref(9)?.as_blob()?,
            hash: row.get_ref(10)?.as_blob()?,
        })
    }

    pub(super) fn link(&self, before: &Digest, seq: i64) -> Digest {
        Digest::of_pieces(&[
            before.as_bytes(),
            &seq.to_be_bytes(),
            self.job.as_bytes(),
            self.paper.as_bytes(),
            &self.version.to_be_bytes(),
            &self.at.to_be_bytes(),
            &self.rule_set.to_be_bytes(),
            self.signature,
            self.facts,
            self.content,
            self.hash,
        ])
    }
}

/// Tells "" from nothing.
fn present(text: Option<&str>) -> [u8; 1] {
    [u8::from(text.is_some())]
}
