//! Thousands of papers dropped at once while the loop is busy and hears nothing: the system's queue of notifications runs
//! over, and all of them are taken in, each once. Guards promises 1 and 2. 2,000 papers, or 20,000 in the long form.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use process::{Shop, some_days_ago};
use rusqlite::Connection;
use script::{Paper, engine, shop_and_engine};
use serde_json::Value;
use state::{State, left_in_drop};
use std::collections::BTreeSet;

/// Each engine is measured so often.
const SETS: usize = 100;

fn storm() -> Vec<Paper> {
    let begin = some_days_ago();
    let engines = if gate::is_long() { 200 } else { 20 };
    let mut papers = Vec::new();
    for number in 1..=engines {
        let job = format!("25-{number:03}");
        let mains = engine(begin, &job).pop().unwrap();
        let mut drop: Value = serde_json::from_slice(&mains.bytes).unwrap();
        for set in 0..SETS {
            drop["device"] = format!("gauge {set}").into();
            papers
                .push(Paper { name: format!("{job} {set}.json"), bytes: format!("{drop:#}\n").into_bytes() });
        }
    }
    papers
}

#[test]
fn thousands_of_papers_dropped_while_the_loop_is_busy_are_all_taken_in() {
    let papers = storm();
    let shop = Shop::empty();
    assert!(shop.once().status.success());
    let service = shop.run();
    shop.wait_until("the first look", || shop.says("watching the drop folder") == 1);
    // While another program holds the ledger, the loop waits in its first commit.
    let other = Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let first = shop_and_engine(some_days_ago());
    shop.drop_in(&first);
    shop.wait_until("the trouble", || shop.says("another program holds the ledger") > 0);
    shop.drop_in(&papers);
    other.execute_batch("ROLLBACK").unwrap();
    std::mem::drop(other);
    shop.wait_until("the last paper", || left_in_drop(shop.dir()).is_empty());
    shop.wait_for_rest();
    let memory = service.most_memory() / 1024;
    shop.ends_cleanly(service);
    let state = State::of(shop.dir(), "after the storm");
    let n_papers = papers.len() + first.len();
    assert_eq!(state.arrivals.len(), n_papers);
    let distinct: BTreeSet<&Vec<u8>> = papers.iter().chain(&first).map(|paper| &paper.bytes).collect();
    assert_eq!((state.shelf.len(), state.accepted.len()), (n_papers, distinct.len()));
    let panics = shop.says("panicked at") as u64;
    assert_eq!(panics, 0, "{}", shop.log());
    let counts = [("papers", n_papers as u64), ("MiB of memory at most", memory)];
    gate::report("storm while the loop is busy", &counts, 0, 0, panics);
}
