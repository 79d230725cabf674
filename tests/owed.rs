//! In a backlog papers are filed first and their engines are owed a look (`daemon::debts`). Guards promises 1, 3 and 8: stopped
//! anywhere, each engine gets it; a backlog without end keeps nobody waiting; the summary tells of looked-at engines only.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/house.rs"]
mod house;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;
#[path = "support/walk.rs"]
mod walk;

use benchdrop::daemon::Step;
use benchdrop::ledger::Ledger;
use house::{Onlooker, Place};
use jiff::Timestamp;
use script::{Paper, engine, shop};
use serde_json::Value;
use state::left_in_drop;
use std::time::Duration;
use tempfile::TempDir;
use walk::{Post as _, ToFolder, walk};

/// Fewer than a person gets letters an hour, so that the order of the looks decides nothing.
const ENGINES: usize = 9;

fn begin() -> Timestamp {
    "2026-03-17T05:00:30Z".parse().unwrap()
}

/// So many sets of readings of each engine, after its check-in.
fn backlog(sets: usize) -> Vec<Paper> {
    let of_engine = |number: usize| {
        let mut papers = engine(begin(), &format!("25-{number:03}"));
        let mut again: Value = serde_json::from_slice(&papers.last().unwrap().bytes).unwrap();
        papers.extend((0..sets).map(|set| {
            again["device"] = format!("gauge {set}").into();
            Paper {
                name: format!("25-{number:03} again {set}.json"),
                bytes: format!("{again:#}\n").into_bytes(),
            }
        }));
        papers
    };
    (1..=ENGINES).flat_map(of_engine).collect()
}

#[test]
fn a_backlog_stopped_after_each_step_ends_the_same() {
    let later = Duration::from_secs(10 * 60);
    let rounds = [(shop(begin()), later), (backlog(5), later)];
    let walked = walk([&ToFolder, &ToFolder], &rounds);
    println!("{} stops: {:?}", walked.stops.values().sum::<usize>(), walked.stops);
    assert!(
        walked.stops.contains_key(&format!("{:?}", Step::Refolded)),
        "nothing was owed: {:?}",
        walked.stops
    );
}

#[test]
fn a_long_backlog_keeps_neither_alerts_nor_engines_waiting() {
    let dir = TempDir::new().unwrap();
    let place = Place::lay_out(dir.path(), &ToFolder.letters());
    // Past the hour of the summary, and nobody to send it to yet.
    let mut open = place.open("2026-03-20T07:30:00Z".parse().unwrap(), &Onlooker::default()).unwrap();
    open.rest().unwrap();
    // The shop's own come first in the folder.
    let first = |paper: Paper| Paper { name: format!("0 {}", paper.name), ..paper };
    let mut papers: Vec<Paper> = shop(begin()).into_iter().map(first).collect();
    papers.extend(backlog(40));
    place.drop_in(&papers);
    open.turn().unwrap();
    let ledger = || Ledger::read_only(&dir.path().join("ledger/benchdrop.db")).unwrap();
    let seen = || {
        let rows = ledger().board_rows().unwrap();
        let looked_at = rows.iter().filter(|row| !row.is_empty()).count();
        (rows.len(), looked_at, ledger().letters().unwrap().len(), left_in_drop(dir.path()).len())
    };
    open.clock.advance(Duration::from_millis(1_010));
    open.turn().unwrap();
    let (known, looked_at, letters, left) = seen();
    assert!(known > 0 && left > 0, "{known} engines, {left} papers left");
    assert_eq!((looked_at, letters), (0, 0), "nobody is looked at while the backlog is young");
    assert_eq!(ledger().last_summary().unwrap(), None, "a summary of engines that are owed a look");
    open.clock.advance(Duration::from_secs(6));
    open.turn().unwrap();
    let (known, looked_at, letters, left) = seen();
    assert!(left > 0 && letters > 0, "{letters} letters, {left} papers left");
    assert_eq!(looked_at, known, "each engine that is known is looked at beside the backlog");
    open.rest().unwrap();
    let (known, looked_at, _, left) = seen();
    assert_eq!((known, looked_at, left), (ENGINES, ENGINES, 0));
    assert!(ledger().last_summary().unwrap().is_some());
    open.close();
}
