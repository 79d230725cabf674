//! The real program as processes of their own, and a shop that its own `init` has made. Whatever a test starts ends
//! with it, when it panics too.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

#[path = "chance.rs"]
mod chance;

pub use chance::Chance;

use crate::script::Paper;
use crate::state::{copy, left_in_drop};
use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::ledger::Ledger;
use jiff::{Timestamp, ToSpan as _};
use rustix::process::{Pid, Signal, kill_process_group};
use std::fs::{self, OpenOptions};
use std::net::TcpListener;
use std::os::unix::process::CommandExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::atomic::{AtomicU16, Ordering};
use std::thread::sleep;
use std::time::Duration;
use tempfile::TempDir;

/// The program under test.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_benchdrop");

/// Generous: a loaded machine is slow, and no test here is about speed.
pub const LIMIT: Duration = Duration::from_secs(300);

/// A stop has so long.
const CLEAN_STOP: Duration = Duration::from_secs(5);

/// Some days ago, so that nothing that is recorded from then on lies ahead of the machine's clock.
pub fn some_days_ago() -> Timestamp {
    SystemClock::new().now().checked_sub((7 * 24).hours()).unwrap()
}

/// A port of this machine that nothing listens on. Ports the machine gives away by itself lie above 32768 (Linux) or
/// 49152 (RFC 6335): one of those could be taken, by a call or another test, before the test's own server has it.
pub fn free_port() -> u16 {
    static NEXT: AtomicU16 = AtomicU16::new(0);
    let (first, n_ports) = (20_000, 10_000);
    let begin = u16::try_from(std::process::id() % u32::from(n_ports)).unwrap();
    for _ in 0..n_ports {
        let port = first + (begin + NEXT.fetch_add(1, Ordering::Relaxed) % n_ports) % n_ports;
        if TcpListener::bind(("127.0.0.1", port)).is_ok() {
            return port;
        }
    }
    panic!("no port from {first} on is free")
}

/// A shop in a folder of its own.
pub struct Shop {
    dir: TempDir,
}

impl Shop {
    /// Made by `init`, quick to settle, without the first papers that `init` drops.
    pub fn empty() -> Self {
        let shop = Self::init(&[]);
        for paper in left_in_drop(shop.dir()) {
            fs::remove_file(paper).unwrap();
        }
        shop
    }

    /// Made by `init` with these arguments more, quick to settle.
    pub fn init(arguments: &[&str]) -> Self {
        let dir = TempDir::new().unwrap();
        let made = Command::new(PROGRAM).arg("init").arg(dir.path()).args(arguments).output().unwrap();
        assert!(made.status.success(), "{made:?}");
        let shop = Self { dir };
        shop.set("settle-seconds = 1.0 ", "settle-seconds = 0.05 ");
        shop.set("grace-seconds = 60.0 ", "grace-seconds = 0.5 ");
        // The summary was due an hour ago: no test runs over the hour of the next.
        let hour = SystemClock::new().now().checked_sub(1.hours()).unwrap().strftime("%H:%M");
        shop.set("summary-at = \"07:00\"", &format!("summary-at = \"{hour}\""));
        shop
    }

    /// The same shop once more, as it is now.
    pub fn copied(&self) -> Self {
        let dir = TempDir::new().unwrap();
        copy(self.dir(), dir.path());
        Self { dir }
    }

    pub fn dir(&self) -> &Path {
        self.dir.path()
    }

    pub fn watch_folder(&self) -> PathBuf {
        self.dir().join("watch-folder")
    }

    pub fn configuration(&self) -> PathBuf {
        self.dir().join("benchdrop.toml")
    }

    /// Changes a part of the configuration.
    pub fn set(&self, part: &str, to: &str) {
        let text = fs::read_to_string(self.configuration()).unwrap();
        assert!(text.contains(part), "no {part:?} in the configuration");
        fs::write(self.configuration(), text.replace(part, to)).unwrap();
    }

    /// Sends letters to a relay on this machine.
    pub fn send_to(&self, port: u16) {
        let smtp =
            format!("[letters.smtp]\nhost = \"127.0.0.1\"\nport = {port}\nsecurity = \"plain-loopback\"\n");
        self.set("to = \"folder\"", "to = \"smtp\"");
        let text = fs::read_to_string(self.configuration()).unwrap();
        fs::write(self.configuration(), text + &smtp).unwrap();
    }

    pub fn drop_in(&self, papers: &[Paper]) {
        for paper in papers {
            fs::write(self.watch_folder().join("drop").join(&paper.name), &paper.bytes).unwrap();
        }
    }

    pub fn command(&self, command: &[&str]) -> Command {
        let mut program = Command::new(PROGRAM);
        program.arg("--config").arg(self.configuration()).args(command).stdin(Stdio::null());
        program
    }

    /// One round of `once`.
    pub fn once(&self) -> Output {
        self.command(&["once"]).output().unwrap()
    }

    /// Starts the service. Its log goes on where an earlier one ended.
    pub fn run(&self) -> Daemon {
        self.start(self.command(&["run"]))
    }

    /// Starts a service by this command, which may start the program in turn.
    pub fn start(&self, mut command: Command) -> Daemon {
        let path = self.dir().join("service.log");
        let starts_before = self.says(STARTS);
        let log = OpenOptions::new().create(true).append(true).open(&path).unwrap();
        // A group of its own, so that what the command starts is ended with it.
        let child = command.process_group(0).stdout(Stdio::null()).stderr(log).spawn().unwrap();
        Daemon { child, log: path, starts_before, ended: false }
    }

    pub fn log(&self) -> String {
        text(&self.dir().join("service.log"))
    }

    /// How often the log says this.
    pub fn says(&self, words: &str) -> usize {
        self.log().matches(words).count()
    }

    pub fn ledger(&self) -> Ledger {
        Ledger::read_only(&self.dir().join("ledger/benchdrop.db")).unwrap()
    }

    /// How many papers have arrived in the ledger; none while there is no ledger.
    pub fn n_arrivals(&self) -> usize {
        let ledger = Ledger::read_only(&self.dir().join("ledger/benchdrop.db"));
        ledger.map_or(0, |ledger| ledger.arrivals(100_000).unwrap().len())
    }

    /// Waits until a running service has taken in so many papers in all and has filed all of them away.
    pub fn wait_for_arrivals(&self, arrivals: usize) {
        self.wait_until(&format!("{arrivals} arrivals"), || {
            self.n_arrivals() >= arrivals && left_in_drop(self.dir()).is_empty()
        });
    }

    /// Starts the service and kills it when it has a batch in hand: some time after its first look, or when the batch
    /// is in the ledger, or when the first paper has left the drop folder. The papers lie there already.
    pub fn run_and_kill_at_work(&self, chance: &mut Chance) {
        const LOOKS: &str = "watching the drop folder";
        let (looks, arrivals, papers) = (self.says(LOOKS), self.n_arrivals(), left_in_drop(self.dir()).len());
        let service = self.run();
        self.wait_until("the first look", || self.says(LOOKS) > looks);
        let clock = SystemClock::new();
        // What is there may all have been recorded by an earlier life, or be broken; then nothing comes.
        let wait_for =
            |is_so: &dyn Fn() -> bool| while !is_so() && clock.since_start() < Duration::from_secs(1) {};
        match chance.between(0, 3) {
            // The second look comes a settle time after the first; then there is work for some tens of milliseconds.
            0 => sleep(Duration::from_millis(chance.between(35, 120))),
            1 => wait_for(&|| self.n_arrivals() > arrivals),
            _ => wait_for(&|| left_in_drop(self.dir()).len() < papers),
        }
        sleep(Duration::from_micros(chance.between(0, 10) * chance.between(0, 1_000)));
        service.kill();
    }

    /// Asks the service to end: it does so within five seconds, whatever hangs, and says that all is well.
    pub fn ends_cleanly(&self, service: Daemon) {
        let (status, took) = service.end();
        assert!(status.success(), "{status}\n{}", self.log());
        assert!(took < CLEAN_STOP, "it took {took:?} to stop\n{}", self.log());
    }

    /// A page of the board; nothing where there is none.
    pub fn page(&self, name: &str) -> String {
        text(&self.watch_folder().join("board").join(name))
    }

    /// Waits until a running service has nothing left to do, pages too: a stop does not wait for hundreds of them.
    pub fn wait_for_rest(&self) {
        self.wait_until("rest", || {
            left_in_drop(self.dir()).is_empty() && {
                let ledger = self.ledger();
                let printed = text(&self.dir().join("watch-folder/board/.reach"));
                ledger.letter_counts().unwrap().waiting == 0
                    && ledger.stale_jobs("", 1).unwrap().is_empty()
                    && printed.trim_end().ends_with(&format!(" {}", ledger.last_arrival_seq().unwrap()))
            }
        });
    }

    /// Waits for something, and shows the log when it does not come.
    pub fn wait_until(&self, what: &str, mut is_so: impl FnMut() -> bool) {
        let clock = SystemClock::new();
        while !is_so() {
            let left = left_in_drop(self.dir());
            assert!(clock.since_start() < LIMIT, "waited for {what} in vain\n{left:?}\n{}", self.log());
            sleep(Duration::from_millis(20));
        }
    }
}

/// The first words of a service's log, when it listens for signals already.
const STARTS: &str = "benchdrop starts";

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_default()
}

/// A running service.
pub struct Daemon {
    child: Child,
    log: PathBuf,
    starts_before: usize,
    ended: bool,
}

impl Daemon {
    /// Ends it as a power cut would.
    pub fn kill(mut self) {
        kill_process_group(Pid::from_child(&self.child), Signal::KILL).unwrap();
        self.ended = true;
        let status = self.child.wait().unwrap();
        assert_eq!(status.code(), None, "it had ended by itself before: {status}");
    }

    /// Stops it where it is, as far as anybody on the disk's side can tell: when this returns, none of its threads is
    /// in a system call that could still write.
    pub fn freeze(&self) {
        kill_process_group(Pid::from_child(&self.child), Signal::STOP).unwrap();
        let threads = PathBuf::from(format!("/proc/{}/task", self.child.id()));
        let is_stopped = |thread: PathBuf| {
            // The state stands behind the name, which is in parentheses.
            let stat = text(&thread.join("stat"));
            stat.rsplit_once(") ").is_none_or(|(_, rest)| rest.starts_with(['T', 'Z', 'X']))
        };
        while !fs::read_dir(&threads).unwrap().all(|thread| is_stopped(thread.unwrap().path())) {
            sleep(Duration::from_millis(1));
        }
    }

    /// The most memory it has had, in KiB, as the kernel counts it.
    pub fn most_memory(&self) -> u64 {
        let status = text(&PathBuf::from(format!("/proc/{}/status", self.child.id())));
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
        line.trim().trim_end_matches(" kB").parse().unwrap()
    }

    /// Asks it to end, as the system does at a shutdown. Gives how it ended and how long it took.
    pub fn end(mut self) -> (ExitStatus, Duration) {
        // Before it listens, the system itself ends it at once, and there is nothing to see.
        while self.is_running() && text(&self.log).matches(STARTS).count() == self.starts_before {
            sleep(Duration::from_millis(2));
        }
        let clock = SystemClock::new();
        self.ask_to_end();
        let status = self.wait();
        (status, clock.since_start())
    }

    /// Asks it to end and does not wait.
    pub fn ask_to_end(&self) {
        kill_process_group(Pid::from_child(&self.child), Signal::TERM).unwrap();
    }

    /// Waits until it has ended.
    pub fn wait(&mut self) -> ExitStatus {
        let clock = SystemClock::new();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                self.ended = true;
                return status;
            }
            assert!(clock.since_start() < LIMIT, "the service does not end");
            sleep(Duration::from_millis(5));
        }
    }

    pub fn is_running(&mut self) -> bool {
        self.child.try_wait().unwrap().is_none()
    }
}

impl Drop for Daemon {
    fn drop(&mut self) {
        if !self.ended {
            // A test has panicked; a process that is gone already is as good.
            kill_process_group(Pid::from_child(&self.child), Signal::KILL).unwrap_or_default();
            drop(self.child.wait());
        }
    }
}
