//! `ledger backup` and `ledger rebuild`: the record outlives its disk.

use super::made_shop::MadeShop;
use super::support::*;
use benchdrop::ledger::Ledger;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// What a shop says of its engine, and how many letters its ledger holds.
fn said(shop: &MadeShop) -> (Value, usize) {
    (shop.job_json(), letters(&shop.path("shop/ledger/benchdrop.db")))
}

fn letters(ledger: &Path) -> usize {
    Ledger::read_only(ledger).unwrap().letters().unwrap().len()
}

/// Puts a ledger in the place of the shop's own, as the answer of `rebuild` says.
fn use_ledger(shop: &MadeShop, new: &Path) {
    for ending in ["", "-wal", "-shm"] {
        let old = shop.path(&format!("shop/ledger/benchdrop.db{ending}"));
        if old.exists() {
            fs::remove_file(old).unwrap();
        }
    }
    fs::rename(new, shop.path("shop/ledger/benchdrop.db")).unwrap();
}

#[test]
fn a_backup_is_the_ledger_and_never_written_over() {
    let shop = MadeShop::with_engine();
    let (job, n_letters) = said(&shop);
    let copy = shop.path("copy.db");
    let name = copy.to_str().unwrap();
    let made = shop.run(&["ledger", "backup", name]).ended(0);
    assert!(made.out.contains("is a sound copy"), "{}", made.out);
    assert!(!shop.path("copy.db.part").exists() && !shop.path("copy.db-wal").exists());
    let bytes = fs::read(&copy).unwrap();
    let again = shop.run(&["ledger", "backup", name]).ended(1);
    assert!(again.err.contains("never written over"), "{}", again.err);
    assert_eq!(fs::read(&copy).unwrap(), bytes);
    use_ledger(&shop, &copy);
    assert_eq!(said(&shop), (job, n_letters));
    assert!(shop.run(&["once"]).ended(0).out.starts_with("0 filed"));
}

/// While the writer works, a copy is one moment of it.
#[test]
fn a_backup_is_made_while_the_service_runs() {
    let shop = MadeShop::with_engine();
    let writer = Ledger::create_or_open(&shop.path("shop/ledger/benchdrop.db"), SITE).unwrap();
    let copy = shop.path("copy.db");
    shop.run(&["ledger", "backup", copy.to_str().unwrap()]).ended(0);
    assert_eq!(Ledger::read_only(&copy).unwrap().fold_counts().unwrap(), writer.fold_counts().unwrap());
}

/// The ledger is gone. From the folders, with or without an old backup, the same shop comes back, and nobody gets a
/// letter again.
#[test]
fn a_lost_ledger_is_made_anew_from_the_folders() {
    for with_backup in [false, true] {
        let shop = MadeShop::new();
        shop.run(&["once"]).ended(0);
        let backup = shop.path("backup.db");
        shop.run(&["ledger", "backup", backup.to_str().unwrap()]).ended(0);
        shop.put("check-in.json", &check_in(10));
        shop.put(
            "mains.json",
            &measured(20, "as received", "MIC-23", journal("main journal", "3", ["2.2470"; 4])),
        );
        shop.put_text("bad.json", "{\"kind\": [,]}");
        shop.run(&["once"]).ended(10);
        let (job, n_letters) = said(&shop);
        assert!(n_letters > 0, "the owner was told");
        let mails = fs::read_dir(shop.path("shop/letters")).unwrap().count();

        let new = shop.path("new.db");
        let mut command = vec!["ledger", "rebuild", new.to_str().unwrap()];
        if with_backup {
            command.extend(["--backup", backup.to_str().unwrap()]);
        }
        let made = shop.run(&command).ended(0);
        let expected = if with_backup {
            "5 drops from the backup, 2 more from filed papers, 1 returned"
        } else {
            "0 drops from the backup, 7 more from filed papers, 1 returned"
        };
        assert!(made.out.contains(expected) && made.out.contains("is sound"), "{}", made.out);
        shop.run(&command).ended(1);
        use_ledger(&shop, &new);
        let left: Vec<_> = fs::read_dir(shop.path(""))
            .unwrap()
            .map(|e| e.unwrap().file_name())
            .filter(|n| n.to_string_lossy().starts_with("new.db"))
            .collect();
        assert!(left.is_empty(), "{left:?}");
        shop.run(&["ledger", "verify"]).ended(0);
        assert_eq!(shop.job_json(), job, "with a backup: {with_backup}");
        let once = shop.run(&["once"]).ended(0);
        assert!(once.out.starts_with("0 filed"), "{}", once.out);
        assert_eq!(fs::read_dir(shop.path("shop/letters")).unwrap().count(), mails, "nobody is told twice");

        // Letters go on from a number that the lost ledger cannot have reached, however many it sent.
        let ledger = Ledger::read_only(&shop.path("shop/ledger/benchdrop.db")).unwrap();
        let row = ledger.job_rows().unwrap().remove(0);
        let told: Value = serde_json::from_str(&row.told).unwrap();
        assert!(told["letters"].as_u64().unwrap() > 1_000_000, "{told:#}");
        drop(ledger);
        // What is new is told, in letters that are not taken for old ones.
        let old: Vec<String> = ids(&shop);
        shop.put(
            "pin.json",
            &measured(30, "as received", "MIC-23", journal("main journal", "4", ["2.2460"; 4])),
        );
        shop.run(&["once"]).ended(0);
        let new: Vec<String> = ids(&shop);
        let fresh: Vec<&String> = new.iter().filter(|id| !old.contains(id)).collect();
        assert!(!fresh.is_empty() && new.len() == old.len() + fresh.len(), "{fresh:?}");
    }
}

/// The Message-IDs of every letter that left the shop.
fn ids(shop: &MadeShop) -> Vec<String> {
    let mut ids = Vec::new();
    for entry in fs::read_dir(shop.path("shop/letters")).unwrap() {
        let text = fs::read_to_string(entry.unwrap().path()).unwrap();
        ids.extend(
            text.lines().find(|line| line.to_lowercase().starts_with("message-id:")).map(str::to_owned),
        );
    }
    ids.sort();
    let all = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), all, "no two letters of one name");
    ids
}

#[test]
fn a_filed_paper_that_was_spoiled_is_named() {
    let shop = MadeShop::with_engine();
    let filed = shop.path("shop/watch-folder/filed");
    let day = fs::read_dir(&filed).unwrap().next().unwrap().unwrap().path();
    let paper = fs::read_dir(&day)
        .unwrap()
        .map(|e| e.unwrap().path())
        .find(|p| p.to_string_lossy().ends_with("pin.json"))
        .unwrap();
    fs::write(&paper, "{\"kind\": \"mea").unwrap();
    let new = shop.path("new.db");
    let made = shop.run(&["ledger", "rebuild", new.to_str().unwrap()]).ended(20);
    assert!(made.out.contains("not read: filed/") && made.out.contains("pin.json"), "{}", made.out);
    let nowhere = shop
        .run(&["ledger", "rebuild", shop.path("x.db").to_str().unwrap(), "--papers", "not-here"])
        .ended(1);
    assert!(nowhere.err.contains("not-here") && !shop.path("x.db").exists(), "{}", nowhere.err);
    let no_ledger = shop.path("shop/benchdrop.toml");
    let refused = shop
        .run(&[
            "ledger",
            "rebuild",
            shop.path("x.db").to_str().unwrap(),
            "--backup",
            no_ledger.to_str().unwrap(),
        ])
        .ended(1);
    assert!(refused.err.contains("not a benchdrop ledger"), "{}", refused.err);
}
