//! The real program as a process: how soon it takes a paper, and what it keeps in memory as the kernel counts it.

use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::ledger::Ledger;
use rustix::process::{Pid, Signal, kill_process};
use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::Duration;

/// A running service; killed when it is dropped without an end.
pub(super) struct Service {
    child: Child,
}

/// What a process keeps in memory, KiB: now, and the most it ever had.
#[derive(Clone, Copy, Default)]
pub(super) struct Memory {
    pub(super) now: u64,
    pub(super) most: u64,
}

impl fmt::Display for Memory {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} MB in memory, at most {} MB", megabytes(self.now), megabytes(self.most))
    }
}

/// From the kernel's KiB to the megabytes of the aim.
pub(super) const fn megabytes(kib: u64) -> u64 {
    kib * 1_024 / 1_000_000
}

impl Service {
    /// Starts it on the shop in this folder; the log goes into a file there.
    pub(super) fn start(folder: &Path, relay: Option<u16>) -> Self {
        fs::write(folder.join("benchdrop.toml"), super::shop::configuration(relay)).unwrap();
        let log = fs::File::create(folder.join("service.log")).unwrap();
        let child = Command::new(env!("CARGO_BIN_EXE_benchdrop"))
            .arg("--config")
            .arg(folder.join("benchdrop.toml"))
            .arg("run")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(log)
            .spawn()
            .unwrap();
        Self { child }
    }

    pub(super) fn memory(&self) -> Memory {
        let status = fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let of = |name: &str| {
            let line = status.lines().find_map(|line| line.strip_prefix(name)).unwrap();
            line.trim().trim_end_matches(" kB").parse().unwrap()
        };
        Memory { now: of("VmRSS:"), most: of("VmHWM:") }
    }

    /// Waits for something; gives how long it took.
    pub(super) fn wait_until(&self, is_so: impl Fn() -> bool, limit: Duration) -> Duration {
        let clock = SystemClock::new();
        while !is_so() {
            assert!(clock.since_start() < limit, "waited in vain for process {}", self.child.id());
            // Short waits are figures, long ones are not.
            sleep(if clock.since_start() < Duration::from_secs(5) {
                Duration::from_micros(500)
            } else {
                Duration::from_millis(200)
            });
        }
        clock.since_start()
    }

    pub(super) fn end(mut self) {
        kill_process(Pid::from_child(&self.child), Signal::TERM).unwrap();
        let status = self.child.wait().unwrap();
        assert!(status.success(), "{status}");
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        // After a clean end there is nothing left to kill.
        self.child.kill().unwrap_or_default();
        drop(self.child.wait());
    }
}

/// Nothing waits: no paper, no letter, no stale row, no page.
pub(super) fn at_rest(folder: &Path) -> bool {
    let Ok(ledger) = Ledger::read_only(&ledger_of(folder)) else { return false };
    let reach = fs::read_to_string(folder.join("watch-folder/board/.reach")).unwrap_or_default();
    is_empty(folder)
        && ledger.stale_jobs("", 1).unwrap().is_empty()
        && ledger.due_letters(i64::MAX - 100_000_000, 1).unwrap().is_empty()
        && reach.trim_end().ends_with(&format!(" {}", ledger.last_arrival_seq().unwrap()))
}

/// No paper lies in the drop folder.
pub(super) fn is_empty(folder: &Path) -> bool {
    let mut papers = fs::read_dir(folder.join("watch-folder/drop")).unwrap();
    papers.all(|paper| paper.unwrap().file_name().to_string_lossy().starts_with('.'))
}

pub(super) fn ledger_of(folder: &Path) -> PathBuf {
    folder.join("ledger/benchdrop.db")
}
