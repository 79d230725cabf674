//! The real program, killed by strace before every single call that makes something last, and started again: nothing
//! lost, nothing twice, the same end state. And what it does when such a call fails. Guards promises 1, 2 and 8.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use process::{PROGRAM, Shop, some_days_ago};
use script::{Paper, engine, rounds, shop};
use state::{State, left_in_drop};
use std::os::unix::process::ExitStatusExt as _;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::Mutex;

/// The calls that make something last, the longest list first. `write` writes pages, slips and letters.
const CALLS: [&str; 9] =
    ["pwrite64", "fsync", "write", "rename", "renameat2", "ftruncate", "unlink", "mkdirat", "fdatasync"];

/// No call is made so often in a round; when it is, the loop has lost its end.
const MOST: usize = 2_000;

/// Ten papers: the shop's own statements, an engine beyond limits, a copy, one that is broken.
fn papers() -> Vec<Paper> {
    let begin = some_days_ago();
    let mut papers = shop(begin);
    papers.extend(engine(begin, "24-017"));
    papers.push(Paper { name: "copy.json".to_owned(), bytes: papers[0].bytes.clone() });
    papers.extend(rounds(begin).into_iter().flatten().filter(|paper| paper.name == "broken.json"));
    assert_eq!(papers.len(), 10);
    papers
}

/// The program under strace with one rule of injection; `only` confines the rule to one file.
fn traced(shop: &Shop, command: &str, rule: &str, only: Option<&Path>) -> Command {
    let call = rule.split(':').next().unwrap();
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(shop.dir().join("strace.log"));
    strace.args(["-e", &format!("trace={call}"), "-e", &format!("inject={rule}")]);
    if let Some(path) = only {
        strace.arg("-P").arg(path);
    }
    strace.arg(PROGRAM).arg("--config").arg(shop.configuration()).arg(command);
    strace
}

/// Goes on until nothing waits.
fn finish(shop: &Shop) -> Output {
    for _ in 0..5 {
        let round = shop.once();
        match round.status.code() {
            Some(0 | 10) => return round,
            Some(11 | 12) => {}
            _ => panic!("{round:?}"),
        }
    }
    panic!("papers wait for ever: {:?}", shop.once())
}

#[test]
#[ignore = "needs strace; tests/run runs it"]
fn killed_before_each_durable_call_the_end_is_the_same() {
    let ready = Shop::empty();
    ready.drop_in(&papers());
    let calm = ready.copied();
    assert_eq!(finish(&calm).status.code(), Some(10));
    let expected = State::of(calm.dir(), "undisturbed");
    assert!(expected.letters.len() >= 2, "{:#?}", expected.letters.keys());
    let (calls, kills) = (Mutex::new(CALLS.iter()), Mutex::new(Vec::new()));
    let work = || {
        loop {
            let Some(call) = calls.lock().unwrap().next() else { return };
            let mut killed = 0;
            while killed < MOST {
                let shop = ready.copied();
                let when = killed + 1;
                let rule = format!("{call}:signal=SIGKILL:when={when}");
                let round = traced(&shop, "once", &rule, None).output();
                let status = round.expect("strace is installed by tests/run").status;
                finish(&shop);
                assert_eq!(State::of(shop.dir(), &format!("{call} {when}")), expected, "{call} {when}");
                if status.signal().is_none() {
                    break;
                }
                killed += 1;
            }
            kills.lock().unwrap().push((*call, killed));
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(work);
        work();
    });
    let kills = kills.into_inner().unwrap();
    println!("killed before: {kills:?}, {} times in all", kills.iter().map(|(_, n)| n).sum::<usize>());
    for call in ["pwrite64", "fsync", "rename", "renameat2"] {
        assert!(kills.iter().any(|(name, n)| *name == call && *n > 0), "{call} was never made: {kills:?}");
    }
}

/// A shop whose ledger is made already, the papers dropped, and what they come to.
fn with_a_ledger() -> (Shop, State) {
    let shop = Shop::empty();
    assert!(shop.once().status.success());
    shop.drop_in(&papers());
    let calm = shop.copied();
    finish(&calm);
    (shop, State::of(calm.dir(), "undisturbed"))
}

/// While the disk is full papers wait where they are, it is said once, and it mends itself.
#[test]
#[ignore = "needs strace; tests/run runs it"]
fn a_full_disk_keeps_papers_where_they_are() {
    let (shop, expected) = with_a_ledger();
    let log = shop.dir().join("ledger/benchdrop.db-wal");
    let service = shop.start(traced(&shop, "run", "pwrite64:error=ENOSPC:when=1..2", Some(&log)));
    shop.wait_until("the trouble", || shop.says("the disk is full") == 1);
    assert_eq!(left_in_drop(shop.dir()).len(), papers().len());
    shop.wait_for_arrivals(papers().len());
    shop.wait_for_rest();
    assert!(service.end().0.success(), "{}", shop.log());
    assert_eq!((shop.says("the disk is full"), shop.says("working again")), (1, 1), "{}", shop.log());
    assert_eq!(State::of(shop.dir(), "full disk").without_batches(), expected.without_batches());
}

/// After a failed sync nothing is acknowledged: the service ends with the code that asks for a new start.
#[test]
#[ignore = "needs strace; tests/run runs it"]
fn a_failed_sync_ends_the_service_before_anything_is_filed() {
    let (shop, expected) = with_a_ledger();
    let log = shop.dir().join("ledger/benchdrop.db-wal");
    let mut service = shop.start(traced(&shop, "run", "fsync:error=EIO:when=1", Some(&log)));
    assert_eq!(service.wait().code(), Some(70), "{}", shop.log());
    assert_eq!(left_in_drop(shop.dir()).len(), papers().len());
    finish(&shop);
    assert_eq!(State::of(shop.dir(), "failed sync").without_batches(), expected.without_batches());
}
