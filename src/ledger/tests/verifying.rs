//! Damage is found: each tampering by hand has a fault that says so.

use super::*;
use std::io::Seek as _;
use std::io::Write as _;

fn faults(shop: &Shop) -> Vec<String> {
    Ledger::read_only(&shop.path()).unwrap().verify(&mut |_, _| {}).unwrap().faults
}

/// A ledger with the first batch, tampered with by `sql`, must have a fault that says `words`.
fn check(sql: &str, words: &str) {
    let shop = Shop::new();
    shop.open().commit(&first_batch()).unwrap();
    assert_eq!(faults(&shop), [""; 0]);
    shop.tamper(sql);
    let faults = faults(&shop);
    assert!(faults.iter().any(|fault| fault.contains(words)), "{sql}: {faults:#?}");
}

#[test]
fn a_changed_row_is_found() {
    check("UPDATE drops SET bytes = x'6d61696e2033' WHERE seq = 2", "the bytes of drop 2 are not");
    check("UPDATE drops SET recorded = recorded + 1 WHERE seq = 2", "row 2 of drops was changed");
    check("UPDATE arrivals SET job = NULL WHERE seq = 1", "row 1 of arrivals was changed");
    check("UPDATE arrivals SET kind = '' WHERE seq = 1", "row 1 of arrivals was changed");
    check("UPDATE letters SET recipient = 'x@y.example'", "row 1 of letters was changed");
    check("UPDATE letters SET mail = x'00'", "the bytes of letter 1 are not");
    check(
        "UPDATE issued SET bytes = x'00' WHERE version = 1",
        "the bytes of the build record of job NORTH/12, version 1 are not",
    );
    check("UPDATE issued SET rule_set = 2 WHERE version = 2", "row 2 of issued was changed");
    check("UPDATE issued SET version = 7 WHERE version = 2", "row 2 of issued was changed");
    check("UPDATE returned_bytes SET bytes = x'00'", "the bytes of the returned paper");
}

#[test]
fn a_removed_row_is_found() {
    check("DELETE FROM drops WHERE seq = 2", "row 2 of drops is missing");
    check("DELETE FROM drops WHERE seq = 3", "row 3 of drops is missing");
    check("DELETE FROM drops", "rows 1 to 3 of drops are missing");
    check("DELETE FROM drops WHERE seq = 2", "arrival 2 (main 2) is recorded, its bytes are not");
    check("DELETE FROM issued WHERE version = 1", "row 1 of issued is missing");
    check("DELETE FROM issued WHERE version = 2", "row 2 of issued is missing");
    check("DELETE FROM returned_bytes", "arrival 4 (broken) is recorded, its bytes are not");
    check("PRAGMA foreign_keys = 0; DELETE FROM letters", "row 1 of deliveries refers to nothing");
    check("DELETE FROM deliveries", "letter 1 is recorded, but is not in the queue");
}

#[test]
fn a_changed_order_is_found() {
    let swap = "UPDATE drops SET seq = 99 WHERE seq = 1; UPDATE drops SET seq = 1 WHERE seq = 2;
                UPDATE drops SET seq = 2 WHERE seq = 99;";
    check(swap, "row 1 of drops was changed, or moved from its place");
}

#[test]
fn a_foreign_row_is_found() {
    let copy =
        "INSERT INTO drops SELECT 4, x'00000000000000000000000000000000000000000000000000000000000000ff',
                content, job, kind, recorded, link, bytes FROM drops WHERE seq = 1";
    check(copy, "drops has rows that were not recorded by benchdrop: 1");
    let again = copy.replace("x'00000000000000000000000000000000000000000000000000000000000000ff'", "hash");
    check(
        &format!("{again}; UPDATE chains SET last_seq = 4 WHERE name = 'drops'"),
        "drop 4 was recorded before",
    );
    check("UPDATE chains SET last_link = randomblob(32) WHERE name = 'drops'", "the end of drops is not");
    check("UPDATE ledger SET site = 'SOUTH'", "row 1 of drops was changed");
}

#[test]
fn one_fault_is_told_once_and_many_are_counted() {
    let shop = Shop::new();
    let many = (0..2500).map(|n| drop_of("NORTH/12", &n.to_string())).collect();
    shop.open().commit(&Batch { drops: many, ..Batch::default() }).unwrap();
    shop.tamper("UPDATE drops SET job = 'NORTH/13' WHERE seq = 1001");
    assert_eq!(faults(&shop).len(), 1);
    shop.tamper("UPDATE drops SET job = 'NORTH/13'");
    let mut steps = Vec::new();
    let ledger = Ledger::read_only(&shop.path()).unwrap();
    let report = ledger.verify(&mut |done, total| steps.push((done, total))).unwrap();
    assert_eq!((report.faults.len(), report.more_faults), (100, 2400));
    assert_eq!(steps, [(0, 2500), (1000, 2500), (2000, 2500), (2500, 2500)]);
}

/// A page of the file goes bad. The check goes on and says so.
#[test]
fn damage_below_the_tables_is_told_in_words() {
    let shop = Shop::new();
    let mut ledger = shop.open();
    let many = (0..200).map(|n| drop_of("NORTH/12", &format!("{n:02000}"))).collect();
    ledger.commit(&Batch { drops: many, ..first_batch() }).unwrap();
    ledger.checkpoint().unwrap();
    drop(ledger);
    let mut file = std::fs::OpenOptions::new().write(true).open(shop.path()).unwrap();
    let middle = shop.path().metadata().unwrap().len() / 2 / 4096 * 4096;
    file.seek(std::io::SeekFrom::Start(middle)).unwrap();
    file.write_all(&[0xAA; 4096]).unwrap();
    assert_ne!(faults(&shop), [""; 0]);
}
