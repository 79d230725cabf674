//! Everything at once: senders of every sort, kills, a share that goes and comes back, a letters folder that is away,
//! reloads, backups and people who ask, with the books looked at every minute. At the end the shop is what the papers
//! alone come to. Guards promises 1, 2, 3 and 8.
//!
//! 20 seconds, or 30 minutes in the long form.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/gate.rs"]
mod gate;
#[path = "soak/people.rs"]
mod people;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::facts::Digest;
use benchdrop::ledger::{Ledger, Outcome};
use people::{Handed, drop_all};
use process::{Chance, Daemon, Shop, some_days_ago};
use rustix::process::{Pid, Signal, kill_process};
use script::{Paper, engine, rounds};
use serde_json::Value;
use state::State;
use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

struct Length {
    whole: Duration,
    /// Between two looks at the books.
    look: Duration,
    engines: usize,
}

fn length() -> Length {
    if gate::is_long() {
        Length { whole: Duration::from_secs(1_800), look: Duration::from_secs(60), engines: 1_500 }
    } else {
        Length { whole: Duration::from_secs(20), look: Duration::from_secs(5), engines: 30 }
    }
}

/// The script, and three papers an engine.
fn papers(engines: usize) -> Vec<Paper> {
    let begin = some_days_ago();
    let mut papers: Vec<Paper> = rounds(begin).into_iter().flatten().collect();
    papers.extend((1..=engines).flat_map(|number| engine(begin, &format!("26-{number:04}"))));
    papers
}

/// What is done to the shop while people work.
struct Troubles<'a> {
    shop: &'a Shop,
    service: Option<Daemon>,
    chance: Chance,
    kills: u64,
    others: u64,
    backups: Vec<PathBuf>,
}

impl Troubles<'_> {
    fn one(&mut self) {
        match self.chance.between(0, 10) {
            0..4 => self.kill(),
            4 => self.away("watch-folder"),
            5 => self.away("letters"),
            6 => self.reload(),
            7 => self.back_up(),
            8 => self.stop(),
            _ => self.ask(),
        }
    }

    fn kill(&mut self) {
        if let Some(service) = self.service.take() {
            service.kill();
            self.kills += 1;
        }
        self.service = Some(self.shop.run());
    }

    fn stop(&mut self) {
        if let Some(service) = self.service.take() {
            self.shop.ends_cleanly(service);
            self.others += 1;
        }
        self.service = Some(self.shop.run());
    }

    /// Gone for a moment, and back as it was.
    fn away(&mut self, folder: &str) {
        let (here, there) =
            (self.shop.dir().join(folder), self.shop.dir().join(format!("{folder} elsewhere")));
        fs::rename(&here, &there).unwrap();
        sleep(Duration::from_millis(self.chance.between(50, 1_500)));
        fs::rename(&there, &here).unwrap();
        self.others += 1;
        // A service that finds no folder at its start says so and ends.
        if self.service.as_mut().is_some_and(|service| !service.is_running()) {
            self.service = Some(self.shop.run());
        }
    }

    fn reload(&mut self) {
        let sign = fs::read_to_string(self.shop.dir().join("ledger/benchdrop.alive")).unwrap_or_default();
        let process = serde_json::from_str::<Value>(&sign).ok().and_then(|sign| sign["process"].as_i64());
        let running = self.service.as_mut().is_some_and(Daemon::is_running);
        if let Some(id) = process.and_then(|id| Pid::from_raw(id.try_into().ok()?)).filter(|_| running) {
            // The sign may be of the life before.
            kill_process(id, Signal::HUP).unwrap_or_default();
            self.others += 1;
        }
    }

    fn back_up(&mut self) {
        let copy = self.shop.dir().join(format!("backup-{}.db", self.backups.len()));
        let made = self.shop.command(&["ledger", "backup"]).arg(&copy).output().unwrap();
        assert_eq!(made.status.code(), Some(0), "{made:?}");
        self.backups.push(copy);
        self.others += 1;
    }

    /// Somebody asks how things are; an answer is always given.
    fn ask(&mut self) {
        for (question, codes) in [("board", [0, 0]), ("summary", [0, 0]), ("status", [0, 20])] {
            let answer = self.shop.command(&[question]).output().unwrap();
            assert!(answer.status.code().is_some_and(|code| codes.contains(&code)), "{question}: {answer:?}");
        }
        self.others += 1;
    }
}

/// What must hold at any moment: the ledger is sound, nothing is in it twice, and every paper that was handed over is
/// in it or still lies in the drop folder.
fn look_at_the_books(shop: &Shop, handed: &Handed) {
    // First who was handed over, then where it lies, then the ledger: a paper only ever moves that way.
    let whole: Vec<Digest> = handed.whole.lock().unwrap().iter().copied().collect();
    let lying: BTreeSet<Digest> = state::left_in_drop(shop.dir())
        .iter()
        .filter_map(|path| fs::read(path).ok())
        .map(|bytes| Digest::of(&bytes))
        .collect();
    let ledger = shop.ledger();
    for digest in whole.iter().filter(|digest| !lying.contains(digest)) {
        assert!(ledger.bytes_of(digest).unwrap().is_some(), "lost: {}\n{}", digest.hex(), shop.log());
    }
    let arrivals = ledger.arrivals(1_000_000).unwrap();
    let filed: Vec<Digest> =
        arrivals.iter().filter(|a| a.outcome == Outcome::Filed).filter_map(|a| a.hash).collect();
    assert_eq!(filed.len(), filed.iter().collect::<BTreeSet<_>>().len(), "filed twice");
    let report = ledger.verify(&mut |_, _| {}).unwrap();
    assert!(report.is_sound(), "{report:?}");
}

/// Letters that could not leave are tried again after a while; that while passes here at once.
fn let_letters_go(shop: &Shop) {
    let conn = rusqlite::Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    conn.busy_timeout(Duration::from_secs(5)).unwrap();
    conn.execute("UPDATE deliveries SET next_try = 0 WHERE state = 'waiting'", []).unwrap();
}

/// Everything is taken in and every letter is out; then it ends.
fn come_to_rest(shop: &Shop, service: Daemon) {
    shop.wait_until("rest", || {
        let_letters_go(shop);
        state::left_in_drop(shop.dir()).is_empty()
    });
    shop.wait_until("the last letter", || {
        let_letters_go(shop);
        shop.ledger().letter_counts().unwrap().waiting == 0
    });
    shop.wait_for_rest();
    shop.ends_cleanly(service);
}

#[test]
fn everything_at_once() {
    let Length { whole, look, engines } = length();
    let papers = papers(engines);
    let calm = Shop::empty();
    calm.drop_in(&papers);
    assert_eq!(calm.once().status.code(), Some(10));
    let expected = State::of(calm.dir(), "undisturbed");

    let shop = Shop::empty();
    shop.set("grace-seconds = 0.5", "grace-seconds = 20.0");
    let folder = shop.watch_folder().join("drop");
    let (handed, over, clock) = (Handed::default(), AtomicBool::new(false), SystemClock::new());
    let mut troubles = Troubles {
        shop: &shop,
        service: Some(shop.run()),
        chance: Chance(20_261_126),
        kills: 0,
        others: 0,
        backups: Vec::new(),
    };
    let mut looks = 0;
    shop.wait_until("the first sign", || shop.dir().join("ledger/benchdrop.alive").exists());
    std::thread::scope(|scope| {
        let hands = 3;
        // So that the last paper comes near the end.
        let pause = u64::try_from(whole.as_millis()).unwrap() * hands / papers.len() as u64;
        for (n, some) in papers.chunks(papers.len().div_ceil(usize::try_from(hands).unwrap())).enumerate() {
            let (folder, handed, over) = (&folder, &handed, &over);
            scope.spawn(move || drop_all(folder, some, Chance(n as u64), pause, handed, over));
        }
        while clock.since_start() < whole {
            troubles.one();
            sleep(Duration::from_millis(troubles.chance.between(50, 900)));
            if look * (looks + 1) < clock.since_start() {
                look_at_the_books(&shop, &handed);
                looks += 1;
            }
        }
    });
    troubles.kill();
    let again = handed.again.load(Ordering::Acquire);
    come_to_rest(&shop, troubles.service.take().unwrap());
    look_at_the_books(&shop, &handed);
    let state = State::of(shop.dir(), "everything at once");
    assert_eq!((&state.jobs, &state.accepted), (&expected.jobs, &expected.accepted));
    for backup in &troubles.backups {
        assert!(Ledger::read_only(backup).unwrap().verify(&mut |_, _| {}).unwrap().is_sound());
    }
    let panics = shop.says("panicked at") as u64;
    assert_eq!(panics, 0, "{}", shop.log());
    assert!(looks > 1 && troubles.kills > 1, "{looks} looks, {} kills", troubles.kills);
    let counts = [
        ("papers", papers.len() as u64),
        ("copies", again),
        ("kills", troubles.kills),
        ("other troubles", troubles.others),
        ("looks", u64::from(looks)),
    ];
    gate::report("everything at once", &counts, 0, 0, panics);
}
