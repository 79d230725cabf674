//! Every system call that takes a paper in, failing: the k-th `openat`, `read`, `pwrite64`, `write`, `fsync`, `rename`,
//! `unlink`, `getdents64` and `close` of a round answers with an error of the disk, a full disk, a share that was
//! exchanged, or an interruption. Whatever the round then says, the next one without faults ends as if nothing had been.
//! Guards promises 1, 2 and 8.
//!
//! k runs from 1 until no call is left to fail in the long form; the short form takes one a call and error, spread over
//! the round.
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

use process::{PROGRAM, Shop, some_days_ago};
use rusqlite::Connection;
use script::{Paper, engine, rounds, shop};
use state::State;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::Mutex;

/// The calls, each with the names that the C library and ours have for it.
const CALLS: [&str; 11] = [
    "getdents64",
    "openat",
    "read",
    "pwrite64",
    "write",
    "fsync",
    "rename",
    "renameat2",
    "unlink",
    "unlinkat",
    "close",
];
const ERRORS: [&str; 4] = ["EIO", "ENOSPC", "ESTALE", "EINTR"];

/// Twenty papers: the shop's own statements, engines beyond limits, copies, one that is broken.
fn papers() -> Vec<Paper> {
    let begin = some_days_ago();
    let mut papers = shop(begin);
    for job in ["24-017", "24-018", "24-019"] {
        papers.extend(engine(begin, job));
    }
    for n in 0..5 {
        papers.push(Paper { name: format!("again {n}.json"), bytes: papers[n].bytes.clone() });
    }
    papers.extend(rounds(begin).into_iter().flatten().filter(|paper| paper.name == "broken.json"));
    assert_eq!(papers.len(), 20);
    papers
}

/// Rounds without faults until nothing waits.
fn finish(shop: &Shop, when: &str) {
    for _ in 0..6 {
        let round = shop.once();
        match round.status.code() {
            Some(0 | 10) if try_letters_again(shop) == 0 => return,
            Some(0 | 10) => {}
            Some(11 | 12) => {}
            _ => panic!("{when}: {round:?}"),
        }
    }
    panic!("{when}: papers wait for ever: {:?}", shop.once())
}

/// A letter that could not be written is tried again half a minute later; that time passes here at once. Gives how many.
fn try_letters_again(shop: &Shop) -> usize {
    let conn = Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    conn.execute("UPDATE deliveries SET next_try = 0 WHERE state = 'waiting'", []).unwrap()
}

/// How often a round makes each call. A call in the loader or in the log is one as well.
fn made(ready: &Shop) -> BTreeMap<String, usize> {
    let shop = ready.copied();
    let log = shop.dir().join("calls.log");
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(&log).args(["-e", &format!("trace={}", CALLS.join(","))]);
    let status =
        strace.arg(PROGRAM).arg("--config").arg(shop.configuration()).arg("once").output().unwrap().status;
    assert_eq!(status.code(), Some(10), "the broken paper is returned");
    let mut made = BTreeMap::new();
    for line in fs::read_to_string(log).unwrap().lines() {
        let call = line.split_once(' ').map_or("", |(_, rest)| rest.trim_start());
        if let Some(name) = CALLS.iter().find(|name| call.starts_with(&format!("{name}("))) {
            *made.entry((*name).to_owned()).or_insert(0) += 1;
        }
    }
    made
}

/// One round in which the k-th call fails. True when there was a k-th.
fn fails_once(shop: &Shop, call: &str, error: &str, k: usize) -> bool {
    let log = shop.dir().join("strace.log");
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(&log).args(["-e", &format!("trace={call}")]);
    strace.args(["-e", &format!("inject={call}:error={error}:when={k}")]);
    // Whatever it says of the fault: the papers are what counts.
    drop(strace.arg(PROGRAM).arg("--config").arg(shop.configuration()).arg("once").output().unwrap());
    injected(&log)
}

fn injected(log: &Path) -> bool {
    fs::read_to_string(log).unwrap().contains("(INJECTED)")
}

/// Which calls fail: all of them, or one that lies elsewhere for each error.
fn ks(made: usize, error: usize) -> Vec<usize> {
    if gate::is_long() {
        // A round with a fault may make a few calls more than one without.
        return (1..=made + 50).collect();
    }
    vec![1 + (2 * error + 1) * made / (2 * ERRORS.len())]
}

#[test]
#[ignore = "needs strace; tests/run runs it"]
fn whatever_call_fails_the_next_round_ends_as_if_none_had() {
    let ready = Shop::empty();
    ready.drop_in(&papers());
    let calm = ready.copied();
    finish(&calm, "undisturbed");
    let expected = State::of(calm.dir(), "undisturbed");
    assert!(expected.letters.len() >= 4, "{:#?}", expected.letters.keys());
    let mut tasks: Vec<(String, &str, Vec<usize>)> = Vec::new();
    for (call, count) in made(&ready) {
        tasks.extend(ERRORS.iter().enumerate().map(|(n, error)| (call.clone(), *error, ks(count, n))));
    }
    for call in ["openat", "read", "pwrite64", "write", "fsync", "renameat2", "getdents64", "close"] {
        assert!(tasks.iter().any(|(name, ..)| name == call), "{call} is never made");
    }
    let (tasks, faults) = (Mutex::new(tasks.into_iter()), Mutex::new(0));
    let work = || {
        loop {
            let Some((call, error, ks)) = tasks.lock().unwrap().next() else { return };
            for k in ks {
                let (shop, when) = (ready.copied(), format!("{call} {k} {error}"));
                let was_made = fails_once(&shop, &call, error, k);
                finish(&shop, &when);
                let state = State::of(shop.dir(), &when);
                assert_eq!(state.without_batches(), expected.without_batches(), "{when}");
                if !was_made {
                    break;
                }
                *faults.lock().unwrap() += 1;
            }
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(work);
        work();
    });
    let faults: u64 = faults.into_inner().unwrap();
    let rounds = faults * papers().len() as u64;
    gate::report("system calls that fail", &[("faults", faults), ("papers", rounds)], 0, 0, 0);
}
