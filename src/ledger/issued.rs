//! Papers as they were issued: their exact bytes, kept beside the statements they were made from.

use super::Ledger;
use super::Result;
use super::chain::{Chain, IssuedLine};
use crate::facts::Digest;
use rusqlite::Transaction;
use rusqlite::params;

/// A paper to keep as it is issued.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewIssue {
    /// What it is, without its bytes.
    pub info: IssuedInfo,
    /// The paper.
    pub bytes: Vec<u8>,
}

/// A paper that was issued.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IssuedInfo {
    /// Job key.
    pub job: String,
    /// What kind of paper, in a word.
    pub paper: String,
    /// Counted from 1 for each job; the papers of one version were issued together.
    pub version: u32,
    /// When the last statement it rests on was recorded, Unix milliseconds.
    pub at: i64,
    /// The rules it was made by.
    pub rule_set: u32,
    /// The statement on whose word it was issued.
    pub signature: Digest,
    /// Digest of the statements it rests on.
    pub facts: Digest,
    /// Digest of what it says, whatever its version.
    pub content: Digest,
    /// SHA-256 of the bytes.
    pub hash: Digest,
}

pub(super) fn add(tx: &Transaction<'_>, issued: &[NewIssue]) -> rusqlite::Result<()> {
    if issued.is_empty() {
        return Ok(());
    }
    let mut chain = Chain::load(tx, "issued")?;
    let mut insert = tx.prepare_cached(
        "INSERT INTO issued (seq, job, paper, version, at, rule_set, signature, facts, content, hash, link, bytes)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12) ON CONFLICT (job, version, paper) DO NOTHING",
    )?;
    for NewIssue { info, bytes } in issued {
        let IssuedInfo { job, paper, version, at, rule_set, signature, facts, content, hash } = info;
        let (seq, line) = (chain.next(), line_of(info));
        let link = line.link(&chain.link, seq);
        let row =
            params![seq, job, paper, version, at, rule_set, signature, facts, content, hash, link, bytes];
        if insert.execute(row)? > 0 {
            chain.advance(link);
        }
    }
    chain.store(tx)
}

fn line_of(info: &IssuedInfo) -> IssuedLine<'_> {
    IssuedLine {
        job: &info.job,
        paper: &info.paper,
        version: info.version,
        at: info.at,
        rule_set: info.rule_set,
        signature: info.signature.as_bytes(),
        facts: info.facts.as_bytes(),
        content: info.content.as_bytes(),
        hash: info.hash.as_bytes(),
    }
}

impl Ledger {
    /// Every paper issued of one job, in the order of their versions.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn issued_of(&self, job: &str) -> Result<Vec<IssuedInfo>> {
        if !self.has_issued {
            return Ok(Vec::new());
        }
        let sql = "SELECT job, paper, version, at, rule_set, signature, facts, content, hash FROM issued
                   WHERE job = ?1 ORDER BY version, paper";
        self.all("read the papers issued of a job", sql, [job], |row| {
            Ok(IssuedInfo {
                job: row.get(0)?,
                paper: row.get(1)?,
                version: row.get(2)?,
                at: row.get(3)?,
                rule_set: row.get(4)?,
                signature: row.get(5)?,
                facts: row.get(6)?,
                content: row.get(7)?,
                hash: row.get(8)?,
            })
        })
    }

    /// The bytes of a paper as it was issued.
    ///
    /// # Errors
    /// The ledger cannot be read.
    pub fn issued_bytes(&self, job: &str, version: u32, paper: &str) -> Result<Option<Vec<u8>>> {
        if !self.has_issued {
            return Ok(None);
        }
        let sql = "SELECT bytes FROM issued WHERE job = ?1 AND version = ?2 AND paper = ?3";
        self.one("read a paper as it was issued", sql, params![job, version, paper], |row| row.get(0))
    }
}
