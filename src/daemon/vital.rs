//! How the service says that it lives: to the supervisor that started it, and to whoever asks with `status`.
//!
//! Both are told by the loop itself, at the end of a turn and nowhere else: a loop that hangs in a dead share or a
//! disk that answers no more says nothing, so the supervisor's patience ends and `status` sees how old the last sign
//! is. A turn that failed in a way that mends itself is a turn too, and says its trouble: a start anew would not mend it.

use crate::clock::Clock;
use crate::daemon::deep_check::Said;
use jiff::Timestamp;
use sd_notify::NotifyState;
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The sign is written at most this often while nothing changes.
const AT_MOST_EVERY: Duration = Duration::from_secs(5);

/// A storm is hundreds of turns a second, and the supervisor counts minutes.
const FED_AT_MOST_EVERY: Duration = Duration::from_secs(1);

/// What a service last said of itself; a small JSON file beside the ledger, on this machine's own disk.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Sign {
    /// Its process.
    pub(super) process: u32,
    /// Which version it is.
    pub(super) version: String,
    /// When it started, Unix milliseconds.
    pub(super) started: i64,
    /// When the last turn ended, Unix milliseconds.
    pub(super) turned: i64,
    /// What keeps it from working, if anything does.
    pub(super) trouble: Option<String>,
    /// How it learns of files: by notifications or only by looking.
    pub(super) watching: String,
    /// Files that lie in the drop folder and are not taken in yet.
    pub(super) waiting: usize,
    /// It ended by itself, as it was told to.
    pub(super) ended: bool,
    /// How the ledger was found when it was gone through behind the start; nothing while that goes on.
    #[serde(default)]
    pub(super) ledger: Option<String>,
    /// It was found damaged.
    #[serde(default)]
    pub(super) ledger_damaged: bool,
}

impl Sign {
    /// Where the sign of a ledger's service lies.
    pub(super) fn place(ledger: &Path) -> PathBuf {
        ledger.with_extension("alive")
    }

    /// The last sign; `None` when no service of this ledger has run yet, or what is there is no sign.
    pub(super) fn read(ledger: &Path) -> Option<Self> {
        serde_json::from_str(&fs::read_to_string(Self::place(ledger)).ok()?).ok()
    }
}

/// The loop's own account of itself.
pub(super) struct Vital {
    ledger: PathBuf,
    sign: Sign,
    written: Option<Duration>,
    fed: Option<Duration>,
    is_ready: bool,
}

impl Vital {
    pub(super) fn new(ledger: &Path, now: Timestamp) -> Self {
        let sign = Sign {
            process: std::process::id(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
            started: now.as_millisecond(),
            turned: now.as_millisecond(),
            trouble: None,
            watching: String::new(),
            waiting: 0,
            ended: false,
            ledger: None,
            ledger_damaged: false,
        };
        Self { ledger: ledger.to_owned(), sign, written: None, fed: None, is_ready: false }
    }

    /// A turn has ended: the watchdog is fed, and the first time the supervisor hears that the service is ready.
    pub(super) fn turned(
        &mut self,
        clock: &dyn Clock,
        trouble: Option<&str>,
        watching: String,
        waiting: usize,
    ) {
        let is_news =
            self.sign.trouble.as_deref() != trouble || !self.is_ready || self.sign.watching != watching;
        self.sign = Sign {
            turned: clock.now().as_millisecond(),
            trouble: trouble.map(str::to_owned),
            watching,
            waiting,
            ..self.sign.clone()
        };
        let now = clock.since_start();
        let is_due = |last: Option<Duration>, every| {
            is_news || last.is_none_or(|last| now.saturating_sub(last) >= every)
        };
        if is_due(self.written, AT_MOST_EVERY) {
            self.written = Some(now);
            self.write();
        }
        if is_due(self.fed, FED_AT_MOST_EVERY) {
            self.fed = Some(now);
            self.feed(is_news);
        }
    }

    /// The ledger was gone through; the next sign says how it was found.
    pub(super) fn gone_through(&mut self, said: &Said) {
        (self.sign.ledger, self.sign.ledger_damaged) = (Some(said.words.clone()), said.damage.is_some());
        self.written = None;
    }

    fn feed(&mut self, is_news: bool) {
        let mut states = vec![NotifyState::Watchdog];
        if !self.is_ready {
            states.push(NotifyState::Ready);
        }
        let status = self.sign.trouble.as_deref().map_or_else(|| "working".to_owned(), one_line);
        if is_news {
            states.push(NotifyState::Status(&status));
        }
        notify(&states);
        self.is_ready = true;
    }

    /// The configuration is read anew; told before and after, so that the supervisor can wait for it.
    pub(super) fn reloading(&mut self) {
        match NotifyState::monotonic_usec_now() {
            Ok(when) => notify(&[NotifyState::Reloading, when]),
            Err(error) => tracing::warn!(%error, "telling the supervisor of the reload"),
        }
    }

    /// The new configuration is in use, or the old one goes on.
    pub(super) fn reloaded(&mut self, status: &str) {
        let status = one_line(status);
        notify(&[NotifyState::Ready, NotifyState::Status(&status)]);
    }

    pub(super) fn stopping(&mut self) {
        notify(&[NotifyState::Stopping, NotifyState::Status("ending")]);
    }

    /// The clean end; a service that was killed leaves its last sign, which grows old.
    pub(super) fn ended(&mut self) {
        self.sign.ended = true;
        self.write();
    }

    /// On a full disk the sign cannot be written; then it grows old, which is as true.
    fn write(&self) {
        let (place, part) = (Sign::place(&self.ledger), self.ledger.with_extension("alive-part"));
        let text = serde_json::to_string(&self.sign).unwrap_or_default();
        // Not synced: after a power cut nothing lives.
        if let Err(error) = fs::write(&part, text).and_then(|()| fs::rename(&part, &place)) {
            tracing::debug!(%error, "writing the sign of life");
        }
    }
}

/// What the supervisor shows on one line.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Without a supervisor there is nobody to tell, and that is no error.
fn notify(states: &[NotifyState<'_>]) {
    if let Err(error) = sd_notify::notify(states) {
        tracing::debug!(%error, "telling the supervisor");
    }
}
