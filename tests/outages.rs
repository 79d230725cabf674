//! What the service leans on fails: the relay, the ledger, notifications, or somebody asks it to end in the middle. It
//! says so, keeps everything, goes on with the rest, and mends itself. Guards promises 1, 2 and 8. The watch folder has
//! a file of its own, `tests/away.rs`.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/relay.rs"]
mod relay;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::ledger::LetterState;
use process::{PROGRAM, Shop, free_port, some_days_ago};
use relay::Relay;
use rusqlite::Connection;
use script::{Paper, engine, rounds, shop_and_engine};
use state::{State, left_in_drop};
use std::collections::BTreeSet;
use std::fs;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

/// Two tries of a turn that fails lie within this.
const TWO_TRIES: Duration = Duration::from_secs(7);

#[test]
fn a_dead_relay_keeps_letters_and_stops_nothing_else() {
    let port = free_port();
    let shop = Shop::empty();
    shop.send_to(port);
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_until("the trouble", || shop.says("a letter was not delivered") >= 2);
    assert!(shop.says("calling the mail relay") >= 2, "{}", shop.log());
    shop.drop_in(&engine(some_days_ago(), "24-018"));
    shop.wait_for_arrivals(11);
    shop.wait_until("the page", || shop.page("arrivals.html").contains("waiting, 1 tries"));
    let letters = shop.ledger().letters().unwrap();
    assert!(letters.iter().all(|letter| letter.state == LetterState::Waiting), "{letters:?}");
    shop.ends_cleanly(service);
    assert_eq!(shop.ledger().letters().unwrap().len(), letters.len().max(3));
}

#[test]
fn a_relay_that_never_answers_holds_nothing_up() {
    let relay = Relay::silent();
    let shop = Shop::empty();
    shop.send_to(relay.port);
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_until("a call", || relay.calls() > 0);
    shop.drop_in(&engine(some_days_ago(), "24-018"));
    shop.wait_for_arrivals(11);
    shop.ends_cleanly(service);
    let letters = shop.ledger().letters().unwrap();
    assert!(letters.iter().all(|letter| letter.state == LetterState::Waiting), "{letters:?}");
}

#[test]
fn papers_that_keep_arriving_do_not_hold_a_stop_up() {
    let shop = Shop::empty();
    let done = AtomicBool::new(false);
    let mut papers = shop_and_engine(some_days_ago());
    papers.extend((1..200).flat_map(|number| engine(some_days_ago(), &format!("25-{number:03}"))));
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for paper in &papers {
                shop.drop_in(std::slice::from_ref(paper));
                if !done.load(Ordering::Acquire) {
                    sleep(Duration::from_millis(10));
                }
            }
        });
        for _ in 0..3 {
            let service = shop.run();
            sleep(Duration::from_millis(600));
            shop.ends_cleanly(service);
        }
        done.store(true, Ordering::Release);
    });
    let service = shop.run();
    shop.wait_for_arrivals(papers.len());
    shop.wait_for_rest();
    shop.ends_cleanly(service);
    assert_eq!(State::of(shop.dir(), "stopped and started").arrivals.len(), papers.len());
}

#[test]
fn a_second_service_is_refused() {
    let shop = Shop::empty();
    let service = shop.run();
    shop.wait_until("the first", || shop.says("watching the drop folder") == 1);
    for command in ["run", "once"] {
        let mut second = shop.start(shop.command(&[command]));
        assert_eq!(second.wait().code(), Some(1), "{}", shop.log());
    }
    assert_eq!(shop.says("another benchdrop writes in this ledger"), 2, "{}", shop.log());
    let text = fs::read_to_string(shop.configuration()).unwrap();
    let other = shop.dir().join("other.toml");
    fs::write(&other, text.replace("ledger/benchdrop.db", "ledger/other.db")).unwrap();
    let mut second = Command::new(PROGRAM);
    second.arg("--config").arg(other).arg("run");
    assert_eq!(shop.start(second).wait().code(), Some(1), "{}", shop.log());
    assert_eq!(shop.says("is in use by another process (process "), 1, "{}", shop.log());
    shop.drop_in(&shop_and_engine(some_days_ago()));
    shop.wait_for_arrivals(8);
    shop.ends_cleanly(service);
}

#[test]
fn without_notifications_everything_is_the_same() {
    let papers: Vec<Paper> = rounds(some_days_ago()).into_iter().flatten().collect();
    let run = |watch: &str| {
        let shop = Shop::empty();
        shop.set("watch = true ", &format!("watch = {watch} "));
        let service = shop.run();
        for paper in &papers {
            shop.drop_in(std::slice::from_ref(paper));
            sleep(Duration::from_millis(20));
        }
        shop.wait_for_arrivals(papers.len());
        shop.wait_for_rest();
        shop.ends_cleanly(service);
        assert_eq!(shop.says("watching the drop folder"), usize::from(watch == "true"));
        State::of(shop.dir(), watch)
    };
    assert_eq!(run("true").without_batches(), run("false").without_batches());
    gate::report("a watcher that reports nothing", &[("papers", papers.len() as u64)], 0, 0, 0);
}

/// While the ledger cannot note that a letter is out, it is not sent again and again.
#[test]
fn a_ledger_that_cannot_be_written_sends_no_letter_twice() {
    let relay = Relay::holding();
    let shop = Shop::empty();
    shop.send_to(relay.port);
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_until("two letters on their way", || relay.letters().len() == 2);
    let other = Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    relay.speak();
    shop.wait_until("the trouble", || shop.says("another program holds the ledger") == 1);
    // The next try, and the one after it, wait five seconds for the ledger each.
    sleep(TWO_TRIES * 2);
    other.execute_batch("ROLLBACK").unwrap();
    shop.wait_for_rest();
    shop.ends_cleanly(service);
    let letters = relay.letters();
    assert_eq!(letters.iter().collect::<BTreeSet<_>>().len(), letters.len(), "a letter came twice");
    assert_eq!(letters.len(), shop.ledger().letters().unwrap().len());
}

/// Somebody who reads the ledger for long (a check, a backup) does not hold a stop up.
#[test]
fn a_reader_of_the_ledger_does_not_hold_a_stop_up() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_for_arrivals(8);
    let reader = Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    reader.execute_batch("BEGIN; SELECT count(*) FROM drops").unwrap();
    shop.drop_in(&engine(some_days_ago(), "24-018"));
    shop.wait_for_arrivals(11);
    shop.ends_cleanly(service);
    drop(reader);
    assert!(left_in_drop(shop.dir()).is_empty());
    State::of(shop.dir(), "stopped beside a reader");
}
