//! Tests of the ledger through its public door, with invented drops.
//!
//! `opening` opens and refuses, `recording` commits batches and reads them back, `queue` follows letters, and
//! `verifying` damages a ledger and looks for the fault that must be found. Damage is done by a second, plain
//! connection to the same file.

mod opening;
mod queue;
mod recording;
mod verifying;

use super::Batch;
use super::IssuedInfo;
use super::JobRow;
use super::Ledger;
use super::NewArrival;
use super::NewDrop;
use super::NewIssue;
use super::NewLetter;
use super::Outcome;
use crate::facts::Digest;
use rusqlite::Connection;
use std::path::PathBuf;
use tempfile::TempDir;

/// A folder with a ledger path in it; gone at the end of the test.
struct Shop {
    folder: TempDir,
}

impl Shop {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("ledger.sqlite")
    }

    fn open(&self) -> Ledger {
        Ledger::create_or_open(&self.path(), "NORTH").unwrap()
    }

    /// Does something to the file that the ledger would never do.
    fn tamper(&self, sql: &str) {
        let conn = Connection::open(self.path()).unwrap();
        conn.execute_batch(sql).unwrap();
    }
}

fn drop_of(job: &str, text: &str) -> NewDrop {
    NewDrop {
        hash: Digest::of(text.as_bytes()),
        content: Digest::of(text.trim().as_bytes()),
        job: job.into(),
        kind: "measurements".into(),
        recorded: 1_000,
        bytes: text.as_bytes().to_vec(),
    }
}

fn arrival_of(name: &str, text: &str, outcome: Outcome) -> NewArrival {
    NewArrival {
        at: 2_000,
        name: name.into(),
        stamp: format!("7:9:{}", text.len()),
        size: text.len() as u64,
        outcome,
        hash: Some(Digest::of(text.as_bytes())),
        job: Some("NORTH/12".into()),
        kind: None,
        place: format!("filed/2026-11-25/{name}"),
        slip: String::new(),
        bytes: (outcome == Outcome::Returned).then(|| text.as_bytes().to_vec()),
        remark: String::new(),
    }
}

fn letter_of(key: &str) -> NewLetter {
    NewLetter {
        key: key.into(),
        job: Some("NORTH/12".into()),
        recipient: "bench@shop.example".into(),
        message_id: format!("<{key}@shop.example>"),
        mail: format!("Subject: {key}\r\n\r\nout of limits\r\n").into_bytes(),
        created: 3_000,
    }
}

fn issue_of(version: u32, text: &str) -> NewIssue {
    let digest = Digest::of(text.as_bytes());
    let info = IssuedInfo {
        job: "NORTH/12".into(),
        paper: "build record".into(),
        version,
        at: 4_000,
        rule_set: 1,
        signature: digest,
        facts: digest,
        content: digest,
        hash: digest,
    };
    NewIssue { info, bytes: text.as_bytes().to_vec() }
}

fn row_of(job: &str, stale: bool) -> JobRow {
    JobRow {
        job: job.into(),
        written: job.into(),
        row: "{}".into(),
        told: "[]".into(),
        next_look: None,
        stale,
    }
}

/// Three drops with their arrivals, one returned paper, one letter, two papers issued, one row.
fn first_batch() -> Batch {
    let texts = ["main 1", "main 2", "main 3"];
    let mut arrivals: Vec<_> = texts.iter().map(|text| arrival_of(text, text, Outcome::Filed)).collect();
    arrivals.push(arrival_of("broken", "not json", Outcome::Returned));
    Batch {
        drops: texts.iter().map(|text| drop_of("NORTH/12", text)).collect(),
        arrivals,
        rows: vec![row_of("NORTH/12", false)],
        letters: vec![letter_of("alert-1")],
        issued: vec![issue_of(1, "as built"), issue_of(2, "as corrected")],
        uses: vec![("NORTH/12".into(), "gauge:M1".into())],
        ..Batch::default()
    }
}
