//! Recording a batch: one transaction, harmless when repeated.

use super::Batch;
use super::JobRow;
use super::Ledger;
use super::NewArrival;
use super::NewDrop;
use super::NewLetter;
use super::Owing;
use super::Result;
use super::Stale;
use super::chain::{ArrivalLine, Chain, DropLine, LetterLine};
use crate::facts::Digest;
use rusqlite::Transaction;
use rusqlite::params;

impl Ledger {
    /// Records a batch. When this returns `Ok`, all of it is on the disk; after an error nothing of it is,
    /// except that after one that `must_stop` names it may be. Recording it again changes nothing.
    ///
    /// # Errors
    /// The disk is full or failed, another program holds the ledger, or a value breaks a rule of the tables.
    pub fn commit(&mut self, batch: &Batch) -> Result<()> {
        self.write("record a batch in the ledger", |tx| {
            add_drops(tx, &batch.drops)?;
            add_arrivals(tx, &batch.arrivals)?;
            add_letters(tx, &batch.letters)?;
            super::issued::add(tx, &batch.issued)?;
            super::readers::write(tx, batch)?;
            // Uses before stale marks: a job that has just come to rest on a key is marked too. Rows after
            // them: a row made from this batch is up to date.
            add_uses(tx, &batch.uses)?;
            mark_stale(tx, &batch.stale)?;
            mark_owing(tx, &batch.owing)?;
            write_rows(tx, &batch.rows)?;
            if let Some(summary) = &batch.summary {
                tx.prepare_cached(
                    "INSERT INTO summaries (date, to_seq) VALUES (?1, ?2) ON CONFLICT (date) DO NOTHING",
                )?
                .execute(params![summary.date, summary.to_seq])?;
            }
            Ok(())
        })
    }
}

fn add_drops(tx: &Transaction<'_>, drops: &[NewDrop]) -> rusqlite::Result<()> {
    let mut chain = Chain::load(tx, "drops")?;
    // Asked apart: in one statement SQLite would make a table of its own for each row it adds.
    let mut known =
        tx.prepare_cached("SELECT 1 FROM drops WHERE substr(hash, 1, 4) = substr(?1, 1, 4) AND hash = ?1")?;
    let mut insert = tx.prepare_cached(
        "INSERT INTO drops (seq, hash, content, job, kind, recorded, link, bytes)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?;
    for drop in drops {
        let NewDrop { hash, content, job, kind, recorded, bytes } = drop;
        if known.exists([hash])? {
            continue;
        }
        let recorded = *recorded;
        let line = DropLine { hash: hash.as_bytes(), content: content.as_bytes(), job, kind, recorded };
        let link = line.link(&chain.link, chain.next());
        insert.execute(params![chain.next(), hash, content, job, kind, recorded, link, bytes])?;
        chain.advance(link);
    }
    chain.store(tx)
}

fn add_arrivals(tx: &Transaction<'_>, arrivals: &[NewArrival]) -> rusqlite::Result<()> {
    let mut chain = Chain::load(tx, "arrivals")?;
    let mut insert = tx.prepare_cached(
        "INSERT INTO arrivals (seq, link, at, name, stamp, size, outcome, hash, job, kind, place, slip, remark)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)
         ON CONFLICT (stamp, name, hash, outcome = 'returned') DO NOTHING",
    )?;
    let mut keep_bytes = tx.prepare_cached(
        "INSERT INTO returned_bytes (hash, bytes) VALUES (?1, ?2) ON CONFLICT (hash) DO NOTHING",
    )?;
    for arrival in arrivals {
        let line = ArrivalLine {
            at: arrival.at,
            name: &arrival.name,
            stamp: &arrival.stamp,
            size: i64::try_from(arrival.size).unwrap_or(i64::MAX),
            outcome: arrival.outcome.word(),
            hash: arrival.hash.as_ref().map_or(&[], |hash| hash.as_bytes()),
            job: arrival.job.as_deref(),
            kind: arrival.kind.as_deref(),
            place: &arrival.place,
            slip: &arrival.slip,
            remark: &arrival.remark,
        };
        let link = line.link(&chain.link, chain.next());
        let ArrivalLine { at, name, stamp, size, outcome, hash, job, kind, place, slip, remark } = line;
        let row =
            params![chain.next(), link, at, name, stamp, size, outcome, hash, job, kind, place, slip, remark];
        if insert.execute(row)? > 0 {
            chain.advance(link);
        }
        if let (Some(hash), Some(bytes)) = (&arrival.hash, &arrival.bytes) {
            keep_bytes.execute(params![hash, bytes])?;
        }
    }
    chain.store(tx)
}

fn add_letters(tx: &Transaction<'_>, letters: &[NewLetter]) -> rusqlite::Result<()> {
    let mut chain = Chain::load(tx, "letters")?;
    let mut insert = tx.prepare_cached(
        "INSERT INTO letters (seq, key, job, recipient, message_id, created, hash, link, mail)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) ON CONFLICT (key) DO NOTHING",
    )?;
    // Due since the beginning of time: a clock that was set back holds no new letter.
    let mut queue = tx.prepare_cached(
        "INSERT INTO deliveries (letter, state, attempts, next_try, last_text) VALUES (?1, 'waiting', 0, 0, '')",
    )?;
    for letter in letters {
        let NewLetter { key, job, recipient, message_id, mail, created } = letter;
        let (created, hash) = (*created, Digest::of(mail));
        let line =
            LetterLine { key, job: job.as_deref(), recipient, message_id, created, hash: hash.as_bytes() };
        let (seq, link) = (chain.next(), line.link(&chain.link, chain.next()));
        if insert.execute(params![seq, key, job, recipient, message_id, created, hash, link, mail])? > 0 {
            queue.execute([seq])?;
            chain.advance(link);
        }
    }
    chain.store(tx)
}

fn add_uses(tx: &Transaction<'_>, uses: &[(String, String)]) -> rusqlite::Result<()> {
    let mut insert =
        tx.prepare_cached("INSERT INTO uses (key, job) VALUES (?2, ?1) ON CONFLICT DO NOTHING")?;
    for (job, key) in uses {
        insert.execute([job, key])?;
    }
    Ok(())
}

fn mark_stale(tx: &Transaction<'_>, stale: &Stale) -> rusqlite::Result<()> {
    match stale {
        Stale::None => {}
        Stale::Using(keys) => {
            let mut mark = tx.prepare_cached(
                "UPDATE jobs SET stale = 1 WHERE stale = 0 AND job IN (SELECT job FROM uses WHERE key = ?1)",
            )?;
            for key in keys {
                mark.execute([key])?;
            }
        }
        Stale::All => {
            tx.execute("UPDATE jobs SET stale = 1 WHERE stale = 0", [])?;
        }
    }
    Ok(())
}

/// A row that says nothing yet is one nobody was shown.
fn mark_owing(tx: &Transaction<'_>, owing: &[Owing]) -> rusqlite::Result<()> {
    let mut mark = tx.prepare_cached(
        "INSERT INTO jobs (job, written, stale, row, told) VALUES (?1, ?2, 1, '', '')
         ON CONFLICT (job) DO UPDATE SET stale = 1 WHERE stale = 0",
    )?;
    for Owing { job, written } in owing {
        mark.execute([job, written])?;
    }
    Ok(())
}

fn write_rows(tx: &Transaction<'_>, rows: &[JobRow]) -> rusqlite::Result<()> {
    let mut upsert = tx.prepare_cached(
        "INSERT INTO jobs (job, written, stale, next_look, row, told) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
         ON CONFLICT (job) DO UPDATE SET written = excluded.written, stale = excluded.stale,
           next_look = excluded.next_look, row = excluded.row, told = excluded.told",
    )?;
    for JobRow { job, written, row, told, next_look, stale } in rows {
        upsert.execute(params![job, written, stale, next_look, row, told])?;
    }
    Ok(())
}
