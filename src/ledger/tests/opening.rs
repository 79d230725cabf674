//! Opening a ledger: whose it is, its format, its safety settings, its backups.

use super::super::LedgerError;
use super::super::settings;
use super::*;
use rusqlite::types::Value;

fn refusal(shop: &Shop) -> LedgerError {
    Ledger::create_or_open(&shop.path(), "NORTH").err().expect("is refused")
}

#[test]
fn safety_settings_hold_on_a_new_ledger_and_on_an_old_one() {
    let shop = Shop::new();
    for _ in 0..2 {
        let ledger = shop.open();
        assert_eq!(ledger.site(), "NORTH");
        for (name, _, wanted) in settings::WRITER {
            let found: Value = ledger.conn.pragma_query_value(None, name, |row| row.get(0)).unwrap();
            let found = match found {
                Value::Integer(number) => number.to_string(),
                Value::Text(text) => text,
                other @ (Value::Null | Value::Real(_) | Value::Blob(_)) => panic!("{name} reads {other:?}"),
            };
            assert_eq!(&found, wanted, "{name}");
        }
    }
}

#[cfg(unix)]
#[test]
fn only_the_owner_reads_the_file_and_its_log() {
    use std::os::unix::fs::PermissionsExt as _;
    let shop = Shop::new();
    let _ledger = shop.open();
    for name in ["ledger.sqlite", "ledger.sqlite-wal", "ledger.sqlite-shm"] {
        let mode = shop.folder.path().join(name).metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{name}");
    }
}

#[test]
fn what_was_committed_is_there_after_opening_anew() {
    let shop = Shop::new();
    shop.open().commit(&first_batch()).unwrap();
    assert_eq!(shop.open().drops_of("NORTH/12").unwrap().len(), 3);
}

/// The power went after the file was made and before its tables were.
#[test]
fn an_empty_file_becomes_a_ledger() {
    let shop = Shop::new();
    std::fs::write(shop.path(), "").unwrap();
    shop.open().commit(&first_batch()).unwrap();
}

#[test]
fn another_site_is_refused() {
    let shop = Shop::new();
    drop(shop.open());
    let error = Ledger::create_or_open(&shop.path(), "SOUTH").err().unwrap();
    assert!(error.to_string().contains("belongs to site NORTH, not SOUTH"), "{error}");
}

#[test]
fn a_newer_ledger_is_refused() {
    let shop = Shop::new();
    drop(shop.open());
    shop.tamper("PRAGMA user_version = 99");
    assert!(refusal(&shop).to_string().contains("made by a newer benchdrop"));
    let error = Ledger::read_only(&shop.path()).err().unwrap();
    assert!(matches!(error, LedgerError::OtherVersion { found: 99, .. }), "{error}");
}

#[test]
fn other_files_are_refused_and_left_alone() {
    let shop = Shop::new();
    shop.tamper("CREATE TABLE parts (name TEXT)");
    let before = std::fs::read(shop.path()).unwrap();
    assert!(matches!(refusal(&shop), LedgerError::NotALedger { .. }));
    assert_eq!(std::fs::read(shop.path()).unwrap(), before);

    let shop = Shop::new();
    std::fs::write(shop.path(), "a shopping list, long enough to be read as a header".repeat(40)).unwrap();
    assert!(matches!(refusal(&shop), LedgerError::NotALedger { .. }));
}

#[test]
fn a_second_writer_is_told_who_writes() {
    let shop = Shop::new();
    let first = shop.open();
    assert!(matches!(refusal(&shop), LedgerError::InUse { .. }));
    drop(first);
    shop.open();
}

#[test]
fn a_missing_folder_is_named() {
    let shop = Shop::new();
    let path = shop.folder.path().join("nowhere/ledger.sqlite");
    let error = Ledger::create_or_open(&path, "NORTH").err().unwrap();
    assert!(error.to_string().contains("nowhere"), "{error}");
}

#[test]
fn a_reader_sees_commits_while_the_writer_works_and_cannot_write() {
    let shop = Shop::new();
    assert!(matches!(Ledger::read_only(&shop.path()).err(), Some(LedgerError::Missing { .. })));
    let mut writer = shop.open();
    let mut reader = Ledger::read_only(&shop.path()).unwrap();
    assert_eq!(reader.site(), "NORTH");
    assert_eq!(reader.fold_counts().unwrap().drops, 0);
    writer.commit(&first_batch()).unwrap();
    assert_eq!(reader.fold_counts().unwrap().drops, 3);
    assert!(reader.verify(&mut |_, _| {}).unwrap().is_sound());
    assert!(reader.commit(&first_batch()).is_err());
    drop(writer);
    assert_eq!(Ledger::read_only(&shop.path()).unwrap().fold_counts().unwrap().jobs, 1);
}

/// An engine that was delivered before papers were kept is owed a look, so that its record is issued; no other is.
#[test]
fn a_ledger_from_before_papers_were_kept_is_brought_up() {
    let shop = Shop::new();
    let mut batch = first_batch();
    let mut signed = drop_of("NORTH/13", r#"{"step": "delivered"}"#);
    signed.kind = "sign-off".into();
    batch.drops.push(signed);
    batch.drops.push(drop_of("NORTH/14", "delivered by hand"));
    batch.rows.extend([row_of("NORTH/13", false), row_of("NORTH/14", false)]);
    shop.open().commit(&batch).unwrap();
    shop.tamper("DROP TABLE issued; DELETE FROM chains WHERE name = 'issued'; PRAGMA user_version = 2");
    let reader = Ledger::read_only(&shop.path()).unwrap();
    assert_eq!(
        (reader.issued_of("NORTH/12").unwrap(), reader.issued_bytes("NORTH/12", 1, "").unwrap()),
        (vec![], None)
    );
    assert!(reader.verify(&mut |_, _| {}).unwrap().is_sound());
    drop(reader);
    let mut ledger = shop.open();
    assert_eq!(ledger.stale_jobs("", 10).unwrap(), ["NORTH/13"]);
    assert!(ledger.verify(&mut |_, _| {}).unwrap().is_sound());
    ledger.commit(&Batch { issued: vec![issue_of(1, "as built")], ..Batch::default() }).unwrap();
    assert_eq!(ledger.issued_of("NORTH/12").unwrap().len(), 1);
    assert!(ledger.verify(&mut |_, _| {}).unwrap().is_sound());
}
