//! Going through the whole ledger: SQLite's own checks, every stored byte, every link of the chains.
//!
//! Rows are read in short stretches, so that a check beside the working daemon does not hold back the
//! folding of its log. (SQLite's own check is one long read.)

use super::Ledger;
use super::Result;
use super::chain::ArrivalLine;
use super::chain::Chain;
use super::chain::DropLine;
use super::chain::IssuedLine;
use super::chain::LetterLine;
use super::error::failed;
use super::read::count;
use crate::facts::Digest;
use rusqlite::Connection;
use rusqlite::Row;

/// Rows read at a stretch.
const STRETCH: i64 = 1000;

/// Faults told in words; more are only counted.
const MOST_FAULTS: usize = 100;

/// What a check of the whole ledger found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct VerifyReport {
    /// Drops gone through.
    pub drops: u64,
    /// Arrivals gone through.
    pub arrivals: u64,
    /// Letters gone through.
    pub letters: u64,
    /// Papers issued, gone through.
    pub issued: u64,
    /// Bytes hashed again: drops, returned papers, letters and papers issued.
    pub bytes: u64,
    /// The first hundred faults, in words.
    pub faults: Vec<String>,
    /// Faults beyond those.
    pub more_faults: u64,
}

impl VerifyReport {
    /// True if nothing was found.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }

    fn fault(&mut self, text: String) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(text);
        } else {
            self.more_faults = self.more_faults.saturating_add(1);
        }
    }

    /// Hashes stored bytes again.
    fn hash(&mut self, what: &str, bytes: &[u8], hash: &[u8]) {
        self.bytes = self.bytes.saturating_add(bytes.len() as u64);
        if Digest::of(bytes).as_bytes() != hash {
            self.fault(format!("the bytes of {what} are not the ones that were recorded"));
        }
    }
}

impl Ledger {
    /// Goes through the whole ledger and lists its faults. `progress` hears how many rows are done, of how
    /// many. Works on a reader beside the daemon; takes seconds per gigabyte.
    ///
    /// # Errors
    /// The ledger cannot be read at all; damage found on the way is a fault in the report.
    pub fn verify(&self, progress: &mut dyn FnMut(u64, u64)) -> Result<VerifyReport> {
        let mut walk = self.walk(progress)?;
        walk.step("SQLite's own check", Walk::ask_sqlite);
        Ok(walk.rows())
    }

    /// The same without SQLite's own check, which is one long read: every stored byte and every link. For a check beside
    /// a daemon at work.
    ///
    /// # Errors
    /// The ledger cannot be read at all; damage found on the way is a fault in the report.
    pub fn verify_rows(&self, progress: &mut dyn FnMut(u64, u64)) -> Result<VerifyReport> {
        Ok(self.walk(progress)?.rows())
    }

    fn walk<'a>(&'a self, progress: &'a mut dyn FnMut(u64, u64)) -> Result<Walk<'a>> {
        let total = self.rows_to_verify()?;
        progress(0, total);
        let (conn, site, has_issued) = (&self.conn, self.site.as_str(), self.has_issued);
        Ok(Walk { conn, site, has_issued, report: VerifyReport::default(), progress, total })
    }

    fn rows_to_verify(&self) -> Result<u64> {
        let total = self.conn.query_row("SELECT sum(last_seq) FROM chains", [], |row| count(row, 0));
        total.map_err(failed("read the ends of the chains"))
    }
}

/// A check under way.
struct Walk<'a> {
    conn: &'a Connection,
    site: &'a str,
    has_issued: bool,
    report: VerifyReport,
    progress: &'a mut dyn FnMut(u64, u64),
    total: u64,
}

impl Walk<'_> {
    /// Every stored byte and every link.
    fn rows(mut self) -> VerifyReport {
        self.step("the drops", Walk::drops);
        self.step("the arrivals", Walk::arrivals);
        self.step("the letters", Walk::letters);
        if self.has_issued {
            self.step("the papers issued", Walk::issued);
        }
        self.step("the returned papers", Walk::returned);
        self.report
    }

    /// One part; damage that ends it is a fault, and the next part is tried all the same.
    fn step(&mut self, what: &str, part: fn(&mut Self) -> rusqlite::Result<()>) {
        if let Err(error) = part(self) {
            self.report.fault(format!("{what} could not be read to the end: {error}"));
        }
    }

    fn ask_sqlite(&mut self) -> rusqlite::Result<()> {
        let mut check = self.conn.prepare(&format!("PRAGMA integrity_check({MOST_FAULTS})"))?;
        let mut rows = check.query([])?;
        while let Some(row) = rows.next()? {
            let text: String = row.get(0)?;
            if text != "ok" {
                self.report.fault(format!("SQLite: {text}"));
            }
        }
        let mut check = self.conn.prepare("PRAGMA foreign_key_check")?;
        let mut rows = check.query([])?;
        while let Some(row) = rows.next()? {
            let (table, number): (String, Option<i64>) = (row.get(0)?, row.get(1)?);
            self.report.fault(format!("row {} of {table} refers to nothing", number.unwrap_or_default()));
        }
        Ok(())
    }

    fn drops(&mut self) -> rusqlite::Result<()> {
        let columns = format!(
            "{}, bytes, EXISTS (SELECT 1 FROM drops d WHERE substr(d.hash, 1, 4) = substr(drops.hash, 1, 4)
               AND d.hash = drops.hash AND d.seq < drops.seq)",
            DropLine::COLUMNS
        );
        self.chain("drops", &columns, |report, row, before, seq| {
            let line = DropLine::of(row)?;
            report.drops = report.drops.saturating_add(1);
            report.hash(&format!("drop {seq}"), row.get_ref(7)?.as_blob()?, line.hash);
            if row.get(8)? {
                report.fault(format!("drop {seq} was recorded before"));
            }
            Ok(line.link(before, seq))
        })
    }

    /// Promise 1: whatever arrived and was read, its bytes are in the ledger.
    fn arrivals(&mut self) -> rusqlite::Result<()> {
        let columns = format!(
            "{}, hash = x'' OR EXISTS (SELECT 1 FROM drops d
                 WHERE substr(d.hash, 1, 4) = substr(arrivals.hash, 1, 4) AND d.hash = arrivals.hash)
               OR EXISTS (SELECT 1 FROM returned_bytes r WHERE r.hash = arrivals.hash)",
            ArrivalLine::COLUMNS
        );
        self.chain("arrivals", &columns, |report, row, before, seq| {
            let line = ArrivalLine::of(row)?;
            report.arrivals = report.arrivals.saturating_add(1);
            if !row.get::<_, bool>(13)? {
                report.fault(format!("arrival {seq} ({}) is recorded, its bytes are not", line.name));
            }
            Ok(line.link(before, seq))
        })
    }

    fn letters(&mut self) -> rusqlite::Result<()> {
        let columns = format!(
            "{}, mail, EXISTS (SELECT 1 FROM deliveries d WHERE d.letter = letters.seq)",
            LetterLine::COLUMNS
        );
        self.chain("letters", &columns, |report, row, before, seq| {
            let line = LetterLine::of(row)?;
            report.letters = report.letters.saturating_add(1);
            report.hash(&format!("letter {seq}"), row.get_ref(8)?.as_blob()?, line.hash);
            if !row.get::<_, bool>(9)? {
                report.fault(format!("letter {seq} is recorded, but is not in the queue"));
            }
            Ok(line.link(before, seq))
        })
    }

    fn issued(&mut self) -> rusqlite::Result<()> {
        let columns = format!("{}, bytes", IssuedLine::COLUMNS);
        self.chain("issued", &columns, |report, row, before, seq| {
            let line = IssuedLine::of(row)?;
            report.issued = report.issued.saturating_add(1);
            let what = format!("the {} of job {}, version {}", line.paper, line.job, line.version);
            report.hash(&what, row.get_ref(11)?.as_blob()?, line.hash);
            Ok(line.link(before, seq))
        })
    }

    fn returned(&mut self) -> rusqlite::Result<()> {
        let mut select = self.conn.prepare("SELECT hash, bytes FROM returned_bytes")?;
        let mut rows = select.query([])?;
        while let Some(row) = rows.next()? {
            let hash: Digest = row.get(0)?;
            let what = format!("the returned paper {}", hash.short());
            self.report.hash(&what, row.get_ref(1)?.as_blob()?, hash.as_bytes());
        }
        Ok(())
    }

    /// Goes along one chain. `check` looks at a row and answers with the link it should carry.
    fn chain(
        &mut self,
        table: &'static str,
        columns: &str,
        mut check: impl FnMut(&mut VerifyReport, &Row<'_>, &Digest, i64) -> rusqlite::Result<Digest>,
    ) -> rusqlite::Result<()> {
        let end = self.end(table)?;
        let sql =
            format!("SELECT seq, link, {columns} FROM {table} WHERE seq > ?1 AND seq <= ?2 ORDER BY seq");
        let mut select = self.conn.prepare(&sql)?;
        let mut at = Chain::start(table, self.site);
        let mut from = 0;
        while from < end.seq {
            let to = from.saturating_add(STRETCH).min(end.seq);
            let mut rows = select.query([from, to])?;
            while let Some(row) = rows.next()? {
                let (seq, link): (i64, Digest) = (row.get(0)?, row.get(1)?);
                let expected = check(&mut self.report, row, &at.link, seq)?;
                if seq != at.next() {
                    // Without the row before it, this one's link cannot be judged.
                    self.missing(table, at.next(), seq);
                } else if link != expected {
                    self.report.fault(format!("row {seq} of {table} was changed, or moved from its place"));
                }
                at.seq = seq;
                at.link = link;
            }
            self.tell_progress();
            from = to;
        }
        if at.seq < end.seq {
            self.missing(table, at.next(), end.next());
        } else if at.link != end.link {
            self.report.fault(format!("the end of {table} is not the one that was recorded"));
        }
        Ok(())
    }

    /// The recorded end of a chain; rows outside it are faults. One statement, so that a commit in between
    /// cannot look like one.
    fn end(&mut self, table: &'static str) -> rusqlite::Result<Chain> {
        let sql = format!(
            "SELECT last_seq, last_link, (SELECT count(*) FROM {table} WHERE seq < 1 OR seq > last_seq)
             FROM chains WHERE name = '{table}'"
        );
        let mut end = Chain::start(table, self.site);
        let n_strays = self.conn.query_row(&sql, [], |row| {
            end.seq = row.get(0)?;
            end.link = row.get(1)?;
            count(row, 2)
        })?;
        if n_strays > 0 {
            self.report.fault(format!("{table} has rows that were not recorded by benchdrop: {n_strays}"));
        }
        Ok(end)
    }

    fn missing(&mut self, table: &str, from: i64, before: i64) {
        let last = before.saturating_sub(1);
        self.report.fault(if from == last {
            format!("row {from} of {table} is missing")
        } else {
            format!("rows {from} to {last} of {table} are missing")
        });
    }

    fn tell_progress(&mut self) {
        let VerifyReport { drops, arrivals, letters, issued, .. } = self.report;
        let done = drops.saturating_add(arrivals).saturating_add(letters).saturating_add(issued);
        (self.progress)(done.min(self.total), self.total);
    }
}
