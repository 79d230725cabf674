//! Batches: what was committed reads back, and what is refused leaves nothing behind.

use super::super::LedgerError;
use super::super::Stale;
use super::super::SummaryMark;
use super::*;
use std::error::Error as _;

#[test]
fn a_batch_reads_back() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.commit(&first_batch()).unwrap();
    let drops = ledger.drops_of("NORTH/12").unwrap();
    let texts: Vec<_> =
        drops.iter().map(|d| (d.seq, String::from_utf8_lossy(&d.bytes).into_owned())).collect();
    assert_eq!(texts, [(1, "main 1".into()), (2, "main 2".into()), (3, "main 3".into())]);
    assert_eq!(ledger.drops_of("").unwrap(), []);
    assert_eq!(ledger.known(&Digest::of(b"main 2")).unwrap().unwrap().job, "NORTH/12");
    assert_eq!(ledger.known(&Digest::of(b"main 9")).unwrap(), None);
    assert!(ledger.known_content(&Digest::of(b"main 2")).unwrap());
    assert_eq!(ledger.job_row("NORTH/12").unwrap(), Some(row_of("NORTH/12", false)));
    assert_eq!(ledger.last_arrival_seq().unwrap(), 4);
    assert_eq!(ledger.arrivals(1).unwrap()[0].name, "broken");
    assert_eq!((ledger.filed_between(1, 3).unwrap(), ledger.filed_between(0, 3).unwrap()), (2, 3));
    assert_eq!(ledger.returned_between(0, 4).unwrap()[0].name, "broken");
    assert_eq!(ledger.jobs_between(0, 4).unwrap(), ["NORTH/12"]);
    assert_eq!(ledger.bytes_of(&Digest::of(b"main 1")).unwrap().unwrap(), b"main 1");
    assert_eq!(ledger.bytes_of(&Digest::of(b"not json")).unwrap().unwrap(), b"not json");
    let issued = ledger.issued_of("NORTH/12").unwrap();
    assert_eq!(issued, [issue_of(1, "as built").info, issue_of(2, "as corrected").info]);
    assert_eq!(ledger.issued_bytes("NORTH/12", 2, "build record").unwrap().unwrap(), b"as corrected");
    assert_eq!(ledger.issued_bytes("NORTH/12", 3, "build record").unwrap(), None);
}

/// Promises 2 and 8: a batch recorded again after a crash counts once.
#[test]
fn a_batch_recorded_twice_counts_once() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.commit(&first_batch()).unwrap();
    ledger.commit(&first_batch()).unwrap();
    let counts = ledger.fold_counts().unwrap();
    assert_eq!((counts.drops, counts.arrivals, counts.jobs), (3, 4, 1));
    assert_eq!(ledger.letter_counts().unwrap().waiting, 1);
    assert_eq!(ledger.issued_of("NORTH/12").unwrap().len(), 2);
    assert!(ledger.verify(&mut |_, _| {}).unwrap().is_sound());
}

#[test]
fn the_same_paper_is_one_arrival_until_it_is_accepted() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let mut record = |arrival: NewArrival| {
        let drops = vec![drop_of("NORTH/12", "x")];
        ledger.commit(&Batch { drops, arrivals: vec![arrival], ..Batch::default() }).unwrap();
        ledger.last_arrival_seq().unwrap()
    };
    assert_eq!(record(arrival_of("a.json", "x", Outcome::Returned)), 1);
    assert_eq!(record(arrival_of("a.json", "x", Outcome::Returned)), 1);
    assert_eq!(record(arrival_of("a.json", "x", Outcome::Filed)), 2);
    assert_eq!(
        record(arrival_of("a.json", "x", Outcome::Copy)),
        2,
        "claimed again, it only looks like a copy"
    );
    let unread = NewArrival { hash: None, bytes: None, ..arrival_of("big", "x", Outcome::Returned) };
    assert_eq!(record(unread.clone()), 3);
    assert_eq!(record(unread), 3);
    let hash = Digest::of(b"x");
    let seen = ledger.arrival_seen("a.json", "7:9:1", Some(&hash)).unwrap().unwrap();
    assert_eq!((seen.seq, seen.outcome, seen.hash), (2, Outcome::Filed, Some(hash)));
    let seen = ledger.arrival_seen("big", "7:9:1", None).unwrap().unwrap();
    assert_eq!((seen.seq, seen.hash), (3, None));
    assert_eq!(ledger.arrival_seen("other", "7:9:1", Some(&hash)).unwrap(), None);
}

#[test]
fn a_failed_commit_leaves_nothing() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let nobody = NewLetter { recipient: String::new(), ..letter_of("alert-2") };
    let error = ledger.commit(&Batch { letters: vec![nobody], ..first_batch() }).unwrap_err();
    assert!(!error.must_stop() && !error.is_disk_full(), "{error}");
    assert!(error.source().is_some());
    let counts = ledger.fold_counts().unwrap();
    assert_eq!((counts.drops, counts.arrivals, counts.jobs), (0, 0, 0));
    assert_eq!(ledger.bytes_of(&Digest::of(b"not json")).unwrap(), None);
    ledger.commit(&first_batch()).unwrap();
    assert!(ledger.verify(&mut |_, _| {}).unwrap().is_sound());
}

#[test]
fn a_full_disk_leaves_nothing_and_heals() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.commit(&first_batch()).unwrap();
    ledger.conn.execute_batch("PRAGMA max_page_count = 1").unwrap();
    let big = Batch { drops: vec![drop_of("NORTH/13", &"x".repeat(100_000))], ..Batch::default() };
    let error = ledger.commit(&big).unwrap_err();
    assert!(error.is_disk_full() && !error.must_stop(), "{error}");
    assert_eq!(ledger.fold_counts().unwrap().drops, 3);
    ledger.conn.execute_batch("PRAGMA max_page_count = 100000").unwrap();
    ledger.commit(&big).unwrap();
    assert_eq!(ledger.fold_counts().unwrap().drops, 4);
}

#[test]
fn a_held_ledger_is_busy_not_broken() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.conn.execute_batch("PRAGMA busy_timeout = 0").unwrap();
    let other = Connection::open(shop.path()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let error = ledger.commit(&first_batch()).unwrap_err();
    assert!(error.is_busy() && !error.must_stop(), "{error}");
    other.execute_batch("ROLLBACK").unwrap();
    ledger.commit(&first_batch()).unwrap();
}

#[test]
fn after_a_failed_sync_nothing_more_is_written() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let code = rusqlite::ffi::SQLITE_IOERR_FSYNC;
    let source = rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(code), None);
    let error = ledger.guard::<()>(Err(LedgerError::Sqlite { doing: "record", source })).unwrap_err();
    assert!(error.must_stop());
    assert!(matches!(ledger.commit(&first_batch()), Err(LedgerError::Stopped)));
    assert!(matches!(ledger.checkpoint(), Err(LedgerError::Stopped)));
    drop(ledger);
    shop.open().commit(&first_batch()).unwrap();
}

#[test]
fn the_log_is_folded_when_long_and_emptied_when_asked() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let log = shop.folder.path().join("ledger.sqlite-wal");
    ledger.fold_at_pages = 1000;
    let many = (0..3000).map(|n| drop_of("NORTH/12", &format!("{n:03000}"))).collect();
    ledger.commit(&Batch { drops: many, ..Batch::default() }).unwrap();
    assert!(shop.path().metadata().unwrap().len() > 9_000_000, "folded into the ledger file");
    ledger.commit(&first_batch()).unwrap();
    let room = log.metadata().unwrap().len();
    assert!(room > 9_000_000);
    ledger.fold_log().unwrap();
    assert_eq!(log.metadata().unwrap().len(), room, "kept for the next commits");
    ledger.checkpoint().unwrap();
    assert_eq!(log.metadata().unwrap().len(), 0);
}

#[test]
fn a_shop_wide_drop_makes_the_rows_it_touches_stale() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let rows = ["N/1", "N/2", "N/3"].map(|job| row_of(job, false)).to_vec();
    let uses = [("N/1", "gauge:M1"), ("N/2", "gauge:M1"), ("N/3", "sheet:OV-24")];
    let uses = uses.map(|(job, key)| (job.to_owned(), key.to_owned())).to_vec();
    ledger.commit(&Batch { rows, uses, ..Batch::default() }).unwrap();
    assert_eq!(ledger.stale_jobs("", 10).unwrap(), [""; 0]);
    let stale = Stale::Using(vec!["gauge:M1".into(), "gauge:M9".into()]);
    // N/2 is folded with the new gauge in the same batch and N/3 has just come to use it.
    let uses = vec![("N/3".to_owned(), "gauge:M1".to_owned())];
    ledger.commit(&Batch { stale, uses, rows: vec![row_of("N/2", false)], ..Batch::default() }).unwrap();
    assert_eq!(ledger.stale_jobs("", 10).unwrap(), ["N/1", "N/3"]);
    ledger.commit(&Batch { stale: Stale::All, ..Batch::default() }).unwrap();
    assert_eq!(ledger.stale_jobs("", 2).unwrap(), ["N/1", "N/2"]);
    ledger.commit(&Batch { rows: vec![row_of("N/1", false)], ..Batch::default() }).unwrap();
    assert_eq!(ledger.stale_jobs("", 10).unwrap(), ["N/2", "N/3"]);
    assert_eq!(ledger.job_rows().unwrap().len(), 3);
}

#[test]
fn jobs_are_due_by_their_next_look() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let due = |job, next_look| JobRow { next_look, ..row_of(job, false) };
    let rows = vec![due("N/1", Some(50)), due("N/2", None), due("N/3", Some(40)), due("N/4", Some(51))];
    ledger.commit(&Batch { rows, ..Batch::default() }).unwrap();
    assert_eq!(ledger.jobs_due(50, 9).unwrap(), ["N/3", "N/1"]);
    assert_eq!(ledger.jobs_due(50, 1).unwrap(), ["N/3"]);
    // Put off for longer than a day by a clock that ran ahead.
    assert_eq!(ledger.jobs_due(50 - 24 * 3_600_000, 9).unwrap(), ["N/4"]);
}

#[test]
fn a_summary_date_is_done_once() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    assert_eq!(ledger.last_summary().unwrap(), None);
    for (date, to_seq) in [("2026-11-24", 5), ("2026-11-25", 9), ("2026-11-25", 12)] {
        let summary = Some(SummaryMark { date: date.into(), to_seq });
        ledger.commit(&Batch { summary, ..Batch::default() }).unwrap();
    }
    let last = ledger.last_summary().unwrap();
    assert_eq!(last, Some(SummaryMark { date: "2026-11-25".into(), to_seq: 9 }));
}

#[test]
fn a_short_form_finds_its_drops() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    ledger.commit(&first_batch()).unwrap();
    let hash = Digest::of(b"main 2");
    assert_eq!(ledger.drop_by_prefix(&hash.short()).unwrap(), [hash]);
    assert_eq!(
        ledger.drop_by_prefix(&hash.hex()[..9].to_uppercase()).unwrap(),
        [hash],
        "an odd count of digits"
    );
    assert_eq!(ledger.drop_by_prefix(&hash.hex()).unwrap(), [hash]);
    for junk in ["", "main 2", &"0".repeat(65), "é"] {
        assert_eq!(ledger.drop_by_prefix(junk).unwrap(), [], "{junk:?}");
    }
}
