//! Each check of the house finds the break that is planted for it, and lets pass what only looks like one.

use super::*;

fn check(faults: &[String], words: &[&str]) {
    assert_eq!(faults.len(), words.len(), "{faults:?}");
    assert!(faults.iter().zip(words).all(|(fault, word)| fault.contains(word)), "{faults:?}");
}

#[test]
fn breaks_of_the_import_order_are_found() {
    check(
        &imports(
            "src/facts/head.rs",
            "use crate::facts::Digest;\nuse crate::metrology::Unit; // crate::cli\n",
        ),
        &[],
    );
    check(&imports("src/metrology/length.rs", "    crate::facts::decode(bytes)"), &["may not use facts"]);
    check(&imports("src/intake/mod.rs", "pub use crate::ledger::Drop;"), &["may not use ledger"]);
    check(&imports("src/outbox/mod.rs", "use super::clock::Clock;"), &["may not use clock"]);
    check(&imports("src/config/mod.rs", "use crate::outbox::Relay;"), &[]);
    check(&imports("src/stages/gate/x.rs", "use super::super::super::pages::Board;"), &["may not use pages"]);
    check(&imports("src/shop/job.rs", "use crate::{facts, sheets};"), &["grouped import"]);
    check(&imports("src/shop/job.rs", "use crate::gossip::Word;"), &["may not use gossip"]);
    check(&imports("src/gossip/mod.rs", ""), &["not in the house"]);
}

#[test]
fn the_world_in_the_pure_half_is_found() {
    let text =
        "use std::{collections::BTreeMap, fs};\nuse std::time::{Duration, Instant};\n// tokio::spawn\n";
    check(&purity("src/judgement/taper.rs", text), &["names std::fs", "names std::time::Instant"]);
    check(&purity("src/respond.rs", "let now = jiff::Timestamp::now();"), &["names Timestamp::now"]);
    check(&purity("src/sheets/read.rs", "use rusqlite::Row;\nlet notify = rand_of(3);"), &["names rusqlite"]);
    check(&purity("src/sheets/read.rs", "use std::sync::OnceLock;\nuse std::time::Duration;"), &[]);
    check(&purity("src/ledger/read.rs", "use rusqlite::Row;\nuse std::fs;"), &[]);
}

#[test]
fn missing_front_pages_and_too_much_are_found() {
    check(&shape("src/facts/head.rs", "use std::fmt;"), &["open with"]);
    check(&shape("src/facts/mod.rs", "//! Facts.\n\nmod head;"), &["front page has"]);
    check(&shape("tests/long.rs", &format!("//! Long.\n{}", "\n".repeat(MOST_LINES))), &["lines, at most"]);
    check(
        &shape("src/x.rs", &format!("//! X.\n{}", "use std::fmt;\n".repeat(MOST_USES + 1))),
        &["`use` lines"],
    );
    check(
        &folders(&["src/lib.rs", "src/facts/body/part.rs", "src/facts/mod.rs"]),
        &["src/facts/body/mod.rs"],
    );
}

#[test]
fn unwanted_words_are_found() {
    for (word, instead) in UNWANTED {
        check(&wording("README.md", &format!("see {word}x or `{word}`")[..]), &[instead]);
        check(&wording("Cargo.lock", word), &[]);
    }
    check(&wording("src/facts/json.rs", concat!("next_element_se", "ed(1); \"/agreed-wo", "rk/0\"")), &[]);
}

#[test]
fn promises_without_tests_are_found() {
    let promise = |number| format!("{number}. **Kept.** By `tests/kept.rs`.\n");
    let mut text: String = (1..=PROMISES).map(promise).collect();
    check(&promises(&text, &|name| name == "tests/kept.rs"), &[]);
    text = text.replace("4. **Kept.** By `tests/kept.rs`", "4. **Kept.** By nobody");
    text += "\nSee also tests/lost.rs.\n";
    check(&promises(&text, &|name| name == "tests/kept.rs"), &["tests/lost.rs", "promise 4 needs"]);
}
