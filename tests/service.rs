//! The service among its keepers: what it tells the supervisor, how it takes a changed configuration, and what
//! `status` says when something it stands on is broken. Guards promises 1 and 8 where an operator looks.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::clock::{Clock as _, SystemClock};
use process::{PROGRAM, Shop, free_port, some_days_ago};
use rusqlite::Connection;
use rustix::process::{Pid, Signal, kill_process};
use script::{engine, shop_and_engine};
use serde_json::Value;
use std::fs;
use std::os::unix::net::UnixDatagram;
use std::path::PathBuf;
use std::process::Command;
use std::sync::mpsc::{Receiver, channel};

/// What a supervisor hears. It listens all the time, as the real one does, whatever the test waits for.
struct Supervisor {
    heard: Receiver<String>,
    path: PathBuf,
}

impl Supervisor {
    fn of(shop: &Shop) -> Self {
        let path = shop.dir().join("notify");
        let socket = UnixDatagram::bind(&path).unwrap();
        let (tell, heard) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(n) = socket.recv(&mut buffer) {
                if tell.send(String::from_utf8_lossy(&buffer[..n]).into_owned()).is_err() {
                    return;
                }
            }
        });
        Self { heard, path }
    }

    /// The next message that says this.
    fn hears(&self, words: &str) -> String {
        let clock = SystemClock::new();
        loop {
            let left = process::LIMIT.saturating_sub(clock.since_start());
            let message = self.heard.recv_timeout(left).unwrap_or_else(|_| panic!("waited for {words}"));
            if message.contains(words) {
                return message;
            }
        }
    }

    fn run(&self, shop: &Shop) -> process::Daemon {
        let mut command = shop.command(&["--log-json", "run"]);
        command.env("NOTIFY_SOCKET", &self.path).env("WATCHDOG_USEC", "60000000");
        shop.start(command)
    }
}

struct Status {
    code: Option<i32>,
    findings: Vec<Value>,
}

impl Status {
    fn of(shop: &Shop) -> Self {
        let output = shop.command(&["status", "--json"]).output().unwrap();
        let answer: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{output:?}"));
        assert_eq!(answer["all-well"], Value::Bool(output.status.code() == Some(0)), "{answer:#}");
        Self { code: output.status.code(), findings: answer["findings"].as_array().unwrap().clone() }
    }

    /// The subjects that are wrong.
    fn wrong(&self) -> Vec<&str> {
        let wrong = self.findings.iter().filter(|finding| finding["wrong"] == true);
        wrong.map(|finding| finding["about"].as_str().unwrap()).collect()
    }

    fn says(&self, about: &str) -> String {
        let found = self.findings.iter().find(|finding| finding["about"] == about);
        found.unwrap_or_else(|| panic!("{about}: {:#?}", self.findings))["says"].as_str().unwrap().to_owned()
    }
}

fn pid(shop: &Shop) -> Pid {
    let sign: Value = serde_json::from_str(&fs::read_to_string(sign(shop)).unwrap()).unwrap();
    Pid::from_raw(sign["process"].as_i64().unwrap().try_into().unwrap()).unwrap()
}

fn sign(shop: &Shop) -> PathBuf {
    shop.dir().join("ledger/benchdrop.alive")
}

fn reload(shop: &Shop) {
    kill_process(pid(shop), Signal::HUP).unwrap();
}

/// Ready comes once the first turn is done; every turn feeds the watchdog; the end is announced.
#[test]
fn the_supervisor_hears_ready_life_and_the_end() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let supervisor = Supervisor::of(&shop);
    let service = supervisor.run(&shop);
    let first = supervisor.hears("READY=1");
    assert!(first.contains("WATCHDOG=1") && first.contains("STATUS=working"), "{first}");
    // Papers lie there, so turns follow at once; then the idle ones.
    supervisor.hears("WATCHDOG=1");
    shop.wait_for_arrivals(5);
    supervisor.hears("WATCHDOG=1");
    shop.wait_for_rest();
    let (status, _) = service.end();
    assert!(status.success(), "{}", shop.log());
    supervisor.hears("STOPPING=1");
    // A journal takes the log as JSON, a line an object.
    for line in shop.log().lines() {
        let entry: Value = serde_json::from_str(line).unwrap_or_else(|_| panic!("no JSON: {line}"));
        assert!(entry["level"].is_string() && entry["timestamp"].is_string(), "{line}");
        assert!(entry["fields"]["message"].is_string(), "{line}");
    }
}

/// A trouble that mends itself is said and does not starve the watchdog: a start anew would not mend it.
#[test]
fn a_folder_that_is_away_is_said_and_the_loop_lives() {
    // Without people nobody reads the daily page, and that is said too.
    let shop = Shop::empty();
    let supervisor = Supervisor::of(&shop);
    let service = supervisor.run(&shop);
    supervisor.hears("READY=1");
    let (folder, away) = (shop.watch_folder(), shop.dir().join("away"));
    fs::rename(&folder, &away).unwrap();
    let said = supervisor.hears("STATUS=the folder");
    assert!(said.contains("WATCHDOG=1"), "{said}");
    let status = Status::of(&shop);
    assert_eq!((status.code, status.wrong()), (Some(20), vec!["service", "watch folder", "daily page"]));
    assert!(status.says("service").contains("It cannot work: "), "{}", status.says("service"));
    fs::rename(&away, &folder).unwrap();
    supervisor.hears("STATUS=working");
    assert_eq!(Status::of(&shop).says("watch folder"), "there, 0 files in drop");
    shop.ends_cleanly(service);
}

/// What may change while it runs is used from the next step on, and the supervisor is told around it.
#[test]
fn a_changed_configuration_is_taken_into_use() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let supervisor = Supervisor::of(&shop);
    let service = supervisor.run(&shop);
    shop.wait_for_arrivals(5);
    shop.wait_for_rest();
    let before = mails(&shop);
    shop.set("benchdrop@shop.example", "bench@new.example");
    shop.set("folder = \"letters\"", "folder = \"post\"");
    shop.set("settle-seconds = 0.05", "settle-seconds = 0.04");
    fs::create_dir(shop.dir().join("post")).unwrap();
    reload(&shop);
    let told = supervisor.hears("RELOADING=1");
    assert!(told.contains("MONOTONIC_USEC="), "{told}");
    supervisor.hears("READY=1");
    shop.drop_in(&engine(some_days_ago(), "24-018"));
    shop.wait_for_rest();
    shop.wait_until("a letter by the new way", || {
        shop.dir().join("post").read_dir().is_ok_and(|mut d| d.next().is_some())
    });
    shop.ends_cleanly(service);
    assert_eq!(mails(&shop), before, "nothing went the old way");
    let letter = fs::read_dir(shop.dir().join("post")).unwrap().next().unwrap().unwrap();
    assert!(fs::read_to_string(letter.path()).unwrap().contains("bench@new.example"));
}

fn mails(shop: &Shop) -> usize {
    fs::read_dir(shop.dir().join("letters")).unwrap().count()
}

/// A configuration that cannot be used, or asks for what only a start can change, changes nothing.
#[test]
fn a_configuration_that_cannot_be_used_leaves_the_old_one_in_use() {
    let shop = Shop::empty();
    let supervisor = Supervisor::of(&shop);
    let service = supervisor.run(&shop);
    supervisor.hears("READY=1");
    let good = fs::read_to_string(shop.configuration()).unwrap();
    for (part, to, why) in [
        ("summary-at = ", "sumary-at = ", "summary-at"),
        ("site = \"main\"", "site = \"other\"", "to change site stop the service"),
        ("watch = true", "watch = false", "to change intake.watch stop the service"),
    ] {
        shop.set(part, to);
        reload(&shop);
        let said = supervisor.hears("STATUS=working, with the configuration from before");
        assert!(said.contains(why) && said.contains("READY=1"), "{said}");
        fs::write(shop.configuration(), &good).unwrap();
    }
    shop.drop_in(&shop_and_engine(some_days_ago()));
    shop.wait_for_arrivals(5);
    shop.ends_cleanly(service);
}

#[test]
fn status_of_a_healthy_a_hanging_an_ended_and_a_killed_service() {
    let shop = Shop::init(&["--owner-mail", "owner@shop.example"]);
    let never = Status::of(&shop);
    assert_eq!(never.wrong(), ["service", "ledger"], "{:#?}", never.findings);
    let service = shop.run();
    shop.wait_for_arrivals(4);
    shop.wait_for_rest();
    let healthy = Status::of(&shop);
    assert_eq!((healthy.code, healthy.wrong()), (Some(0), Vec::new()), "{:#?}", healthy.findings);
    assert!(healthy.says("ledger").contains("drops: 5"), "{}", healthy.says("ledger"));

    // It hangs: no turn ends any more. A minute is not waited for; its last sign is made older.
    let id = pid(&shop);
    kill_process(id, Signal::STOP).unwrap();
    let mut last: Value = serde_json::from_str(&fs::read_to_string(sign(&shop)).unwrap()).unwrap();
    last["turned"] = Value::from(last["turned"].as_i64().unwrap() - 120_000);
    fs::write(sign(&shop), last.to_string()).unwrap();
    let hanging = Status::of(&shop);
    assert_eq!((hanging.code, hanging.wrong()), (Some(20), vec!["service"]));
    assert!(hanging.says("service").contains("has been killed or hangs"), "{}", hanging.says("service"));
    kill_process(id, Signal::CONT).unwrap();
    shop.wait_until("the next sign", || Status::of(&shop).code == Some(0));

    shop.ends_cleanly(service);
    let ended = Status::of(&shop);
    assert_eq!((ended.code, ended.wrong()), (Some(20), vec!["service"]));
    assert!(ended.says("service").contains("was ended at"), "{}", ended.says("service"));
}

/// The ledger is gone, is no ledger, or is damaged where it is read: `status` says which, and still answers the rest.
#[test]
fn status_tells_the_truth_of_a_broken_ledger() {
    let ready = Shop::init(&["--owner-mail", "owner@shop.example"]);
    assert_eq!(ready.once().status.code(), Some(0));
    let ledger = |shop: &Shop| shop.dir().join("ledger/benchdrop.db");
    let broken = |breaks: &dyn Fn(&PathBuf), says: &str| {
        let shop = ready.copied();
        breaks(&ledger(&shop));
        let status = Status::of(&shop);
        assert_eq!(status.code, Some(20));
        assert!(status.wrong().contains(&"ledger"), "{:#?}", status.findings);
        assert!(status.says("ledger").contains(says), "{says}: {}", status.says("ledger"));
        assert_eq!(status.says("watch folder"), "there, 0 files in drop");
    };
    broken(&|path| fs::remove_file(path).unwrap(), "no ledger");
    broken(&|path| fs::write(path, "once upon a time, and not short of a page either").unwrap(), "not a");
    broken(
        &|path| {
            let size = fs::metadata(path).unwrap().len();
            let whole = fs::read(path).unwrap();
            // All but the first page is overwritten: it opens, and reading shows it.
            let mut half = whole[..4096].to_vec();
            half.resize(usize::try_from(size).unwrap(), 0xa5);
            fs::write(path, half).unwrap();
        },
        "malformed",
    );
    broken(
        &|path| {
            let conn = Connection::open(path).unwrap();
            conn.execute_batch("DROP TABLE arrivals").unwrap();
        },
        "arrivals",
    );
}

/// A start does not wait for it: the whole ledger is gone through behind it. Damage is said to the owner, on the board and by
/// `status`, and what is dropped is recorded all the same.
#[test]
fn damage_in_the_ledger_is_found_behind_a_start() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_for_rest();
    shop.wait_until("the end of the check", || Status::of(&shop).says("ledger").contains("sound"));
    shop.ends_cleanly(service);

    let conn = Connection::open(shop.dir().join("ledger/benchdrop.db")).unwrap();
    conn.execute("UPDATE drops SET bytes = CAST(bytes || ' ' AS BLOB) WHERE seq = 3", []).unwrap();
    drop(conn);
    let before = shop.n_arrivals();
    shop.drop_in(&engine(some_days_ago(), "24-018"));
    let service = shop.run();
    shop.wait_until("the damage", || Status::of(&shop).wrong() == ["ledger"]);
    assert!(
        Status::of(&shop).says("ledger").contains("is damaged, faults: 1; the first: the bytes of drop 3")
    );
    shop.wait_for_arrivals(before + 3);
    shop.wait_for_rest();
    assert!(shop.page("board.html").contains("The ledger is damaged"), "{}", shop.page("board.html"));
    let letters = fs::read_dir(shop.dir().join("letters")).unwrap().map(|entry| entry.unwrap().path());
    let told =
        letters.filter(|path| fs::read_to_string(path).unwrap().contains("Subject: The ledger is damaged"));
    assert_eq!(told.count(), 1, "one letter to the owner");
    shop.ends_cleanly(service);
}

/// A shell's completions and the manual name every command.
#[test]
fn completions_and_manual_name_every_command() {
    let run = |arguments: &[&str]| {
        let output = Command::new(PROGRAM).args(arguments).output().unwrap();
        assert!(output.status.success() && output.stderr.is_empty(), "{output:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    let help = run(&["--help"]);
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| line.starts_with("  "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|command| *command != "help")
        .collect();
    assert!(commands.len() >= 14 && commands.contains(&"status"), "{commands:?}");
    let texts = [
        run(&["completions", "bash"]),
        run(&["completions", "zsh"]),
        run(&["completions", "fish"]),
        run(&["manual"]),
    ];
    for command in commands {
        assert!(texts.iter().all(|text| text.contains(command)), "{command}");
    }
    assert!(texts[3].contains(".SS benchdrop ledger verify") && texts[3].contains(".SH EXIT STATUS"));
}

/// The relay's password stands in no log, page, letter or ledger, also when the relay refuses it.
#[test]
fn the_password_is_written_nowhere() {
    const PASSWORD: &str = "a-word-for-the-relay-7316";
    let shop = Shop::init(&["--owner-mail", "owner@shop.example"]);
    let port = free_port();
    shop.send_to(port);
    let more = "user = \"shop\"\npassword-file = \"relay-word\"\n";
    fs::write(shop.dir().join("relay-word"), PASSWORD).unwrap();
    let text = fs::read_to_string(shop.configuration()).unwrap();
    fs::write(shop.configuration(), text + more).unwrap();
    let service = shop.run();
    shop.wait_until("a letter that is not delivered", || shop.says("a letter was not delivered") > 0);
    shop.wait_until("the page", || shop.page("arrivals.html").contains("waiting, 1 tries"));
    shop.ends_cleanly(service);
    let (mut folders, mut read) = (vec![shop.dir().to_owned()], 0);
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            if entry.file_type().unwrap().is_dir() {
                folders.push(entry.path());
            } else if entry.file_name() != "relay-word" {
                let bytes = fs::read(entry.path()).unwrap();
                let found = bytes.windows(PASSWORD.len()).any(|window| window == PASSWORD.as_bytes());
                assert!(!found, "{}", entry.path().display());
                read += 1;
            }
        }
    }
    assert!(read > 10, "{read} files");
}
