//! One open watch folder, and its steps in the order a caller takes them.

use crate::facts::Digest;
use crate::intake::error::IntakeError;
use crate::intake::lock::Lock;
use crate::intake::paper::{Candidate, folder_and_name};
use crate::intake::relook::Relooks;
use crate::intake::settings::Settings;
use crate::intake::shelf::Shelf;
use crate::intake::{claim, filing, marker, names, passed_over, remains, scan, settle, watcher};
use rustix::fd::AsFd as _;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// A watch folder, open for this process alone. What it knows of the papers lives in memory only: after a start it
/// looks twice, like at any new paper.
///
/// All `now` values come from one monotonic clock of the caller.
pub struct Folder {
    root: PathBuf,
    settings: Settings,
    lock: Lock,
    hints: Option<watcher::Hints>,
    settling: settle::Settling,
    relooks: Relooks,
    /// The folders that the latest complete look found in `drop/`.
    folders: BTreeMap<OsString, scan::FolderId>,
    passed_over: passed_over::PassedOver,
    /// The latest complete look.
    looked_at: Duration,
    /// The folder was away at a look since then.
    away: bool,
}

/// What one look found.
#[derive(Debug)]
pub struct Look {
    /// Settled papers, ordered by path, at most one batch. A paper is handed out at every look until it is filed
    /// away, held by [`Folder::still_arriving`], or gone.
    pub ready: Vec<Candidate>,
    /// Those that come next, at most one batch.
    pub following: Vec<Candidate>,
    /// How many more are ready but do not fit into this batch.
    pub behind: usize,
    /// What stays for now, and why.
    pub waiting: Vec<settle::Waiting>,
    /// Names in `drop/` that are never input and that the look before did not see, and what each is: worth one line in the
    /// log.
    pub passed_over: Vec<(String, &'static str)>,
    /// When it is worth looking again though nothing stirs. May lie in the past; `None` when only an event or the
    /// regular rescan can bring something new.
    pub next: Option<Duration>,
    /// When the last of the papers that only lie still too short will have settled, if none is touched.
    pub settled: Option<Duration>,
}

impl Folder {
    /// Opens a watch folder and locks it for this process.
    ///
    /// # Errors
    /// `Away` when the folder, its `drop/` or a marker is missing; `Taken` when another process has it; `Lock`.
    pub fn open(root: &Path, settings: Settings) -> Result<Self, IntakeError> {
        let present = marker::enter(root)?;
        Ok(Self {
            root: root.to_owned(),
            settings,
            lock: Lock::take(&present.root, root)?,
            hints: None,
            settling: settle::Settling::default(),
            relooks: Relooks::default(),
            folders: BTreeMap::new(),
            passed_over: passed_over::PassedOver::default(),
            looked_at: Duration::ZERO,
            away: false,
        })
    }

    /// From now on one look hands out at most so many papers.
    pub fn hand_out(&mut self, most: usize) {
        self.settings.batch_files = most;
    }

    /// From now on papers must lie still for `quiet`, and unfinished ones may stay so for `grace`.
    pub fn set_patience(&mut self, quiet: Duration, grace: Duration) {
        (self.settings.quiet, self.settings.grace) = (quiet, grace);
    }

    /// Starts to wake the caller when something stirs; may be called again after a failure. `wake` runs on another
    /// thread, once between two looks, and must not block.
    pub fn watch(&mut self, wake: Box<dyn Fn() + Send + Sync>) -> watcher::WatchState {
        let mut hints = watcher::Hints::new(Arc::from(wake));
        match self.enter() {
            Ok(present) => {
                self.follow(&mut hints, &present);
            }
            Err(_) => hints.give_up("the folder is away".to_owned()),
        }
        let state = hints.state();
        self.hints = Some(hints);
        state
    }

    /// Whether notifications still shorten the wait.
    #[must_use]
    pub fn watch_state(&self) -> watcher::WatchState {
        match &self.hints {
            Some(hints) => hints.state(),
            None => watcher::WatchState::Polled("notifications are switched off".to_owned()),
        }
    }

    /// Looks once at everything in `drop/`.
    ///
    /// # Errors
    /// `Away` freezes all state until a later look succeeds; `Taken` and `Lock` when the folder came back and
    /// another process was faster.
    pub fn look(&mut self, now: Duration) -> Result<Look, IntakeError> {
        if let Some(hints) = &self.hints {
            hints.looking();
        }
        let (present, listing) = self.list().inspect_err(|_| self.away = true)?;
        self.come_back(now);
        self.folders = listing.folders;
        let newly_watched = self.hints.take().is_some_and(|mut hints| {
            let added = self.follow(&mut hints, &present);
            self.hints = Some(hints);
            added
        });
        self.settling.observe(listing.papers, &listing.unknown, now);
        let quiet = if present.share {
            self.settings.quiet.max(self.settings.quiet_share)
        } else {
            self.settings.quiet
        };
        let settle::Sorted { ready, following, behind, mut waiting, mut next, settled } =
            self.settling.sort_out(&self.settings, quiet, now);
        waiting.extend(settle::other_waiting(&listing.too_deep, &listing.unknown));
        next = settle::earlier(next, self.relooks.next());
        next = settle::earlier(next, newly_watched.then_some(now.saturating_add(quiet)));
        let passed_over = self.passed_over.observe(listing.passed_over, now);
        waiting.extend(self.passed_over.stuck(self.settings.grace, now));
        Ok(Look { ready, following, behind, waiting, passed_over, next, settled })
    }

    /// Reads papers that a look handed out. Those that cannot be read are held, those that moved settle anew.
    /// The answers come in the same order.
    pub fn claim(&mut self, ready: &[Candidate]) -> Vec<claim::Claim> {
        let Ok(present) = self.enter() else {
            // Away: nothing is concluded, the next look says so.
            return ready.iter().map(|paper| claim::Claim::Moved { candidate: paper.clone() }).collect();
        };
        let claims = claim::read_all(present.drop.as_fd(), ready, self.settings.size_limit, !present.share);
        for claim in &claims {
            match claim {
                claim::Claim::Paper { .. }
                | claim::Claim::TooLarge { .. }
                | claim::Claim::NotAFile { .. } => {}
                claim::Claim::Moved { candidate } => self.settling.forget(&candidate.path),
                claim::Claim::Unreadable { candidate, error } => {
                    let why = settle::Why::CannotRead(error.to_string());
                    self.settling.hold(candidate, why, None, self.looked_at);
                }
            }
        }
        claims
    }

    /// Reading papers before a look hands them out, on another thread if the caller likes. `None` where the folder is away,
    /// and on a share: what changes there between the reading and that look does not always show.
    #[must_use]
    pub fn read_ahead(&self, papers: Vec<Candidate>) -> Option<claim::ReadAhead> {
        let present = marker::enter(&self.root).ok().filter(|present| !present.share)?;
        Some(claim::ReadAhead::new(present.drop, papers, self.settings.size_limit))
    }

    /// The caller found the content unfinished: later looks hand the paper out again when it changed, after 2, 4,
    /// 8, 16 and then every 30 seconds, and when its patience ends.
    pub fn still_arriving(&mut self, candidate: &Candidate, state: settle::Unfinished, now: Duration) {
        let patience = Some(self.settings.patience(state));
        self.settling.hold(candidate, settle::Why::Unfinished(state), patience, now);
    }

    /// True when a paper has lain unchanged in this state so long that nothing more is to be expected of it.
    #[must_use]
    pub fn patience_over(&self, candidate: &Candidate, state: settle::Unfinished, now: Duration) -> bool {
        self.settling
            .unchanged_since(candidate)
            .is_some_and(|since| now.saturating_sub(since) >= self.settings.patience(state))
    }

    /// Where a paper goes: `filed/DATE/TIME-HASH-NAME`, or the same under `returned/`. `date` is `2026-11-25` and
    /// `time` is `hhmmss`, both local; `hash` is `None` for what was never read.
    #[must_use]
    pub fn place_for(
        &self,
        date: &str,
        time: &str,
        candidate: &Candidate,
        hash: Option<&Digest>,
        returned: bool,
    ) -> String {
        let top = if returned { marker::RETURNED } else { marker::FILED };
        let hash = hash.map_or_else(|| "unread".to_owned(), Digest::short);
        let name = names::safe_name(&folder_and_name(&candidate.path).1.to_string_lossy());
        format!("{top}/{date}/{time}-{hash}-{name}")
    }

    /// Moves papers out of `drop/` and makes the moves durable together. Call it only when what the papers say is
    /// safe elsewhere. The answers come in the same order.
    ///
    /// A paper that cannot be moved is held for 30 seconds before a look hands it out again.
    ///
    /// # Errors
    /// Of the whole: `Away`, `Taken`, `Lock`; nothing was moved. Of one paper: `Place`, `Slip`, `Move`, `Sync`.
    pub fn file_away(
        &mut self,
        papers: &[filing::Filing],
        now: Duration,
    ) -> Result<Vec<Result<filing::Filed, IntakeError>>, IntakeError> {
        let present = self.enter()?;
        let results = filing::move_all(&mut Shelf::new(&present), papers);
        for (filing, result) in papers.iter().zip(&results) {
            let candidate = &filing.candidate;
            match result {
                Ok(filing::Filed::At(place)) => {
                    self.settling.forget(&candidate.path);
                    if candidate.size <= self.settings.size_limit {
                        self.relooks.remember(place.clone(), candidate.stamp.clone(), filing.hash, now);
                    }
                }
                Ok(filing::Filed::Overtaken) => self.settling.forget(&candidate.path),
                Err(error) => {
                    let why = settle::Why::CannotFile(error.cause());
                    self.settling.hold(candidate, why, None, now);
                }
            }
        }
        Ok(results)
    }

    /// After a start: papers that were filed in the last minute before the stop, as the ledger knows them, get
    /// the second look they missed. `stamp` is the candidate's.
    pub fn remember_filed(&mut self, place: &str, stamp: &str, hash: Option<Digest>, now: Duration) {
        self.relooks.remember(place.to_owned(), stamp.to_owned(), hash, now);
    }

    /// After a start: what a power cut has left of a paper that the ledger has, by its place, name and stamp there.
    ///
    /// # Errors
    /// The folder is away, or cannot be read.
    pub fn remains(
        &mut self,
        place: &str,
        name: &str,
        stamp: &str,
    ) -> Result<Option<remains::Remains>, IntakeError> {
        remains::Remains::find(&self.enter()?, place, name, stamp)
    }

    /// Looks again at papers moved away a minute ago. Those whose bytes changed since, because their sender wrote
    /// on through an open handle, go back into `drop/` to be taken in anew; answers with their names there.
    pub fn relook(&mut self, now: Duration) -> Vec<Result<String, IntakeError>> {
        match self.enter() {
            Ok(present) => self.relooks.look(&present, self.settings.size_limit, now),
            // Away: they keep, and the next look says so.
            Err(_) => Vec::new(),
        }
    }

    /// The folder by handles, with our lock in it.
    fn enter(&mut self) -> Result<marker::Present, IntakeError> {
        let present = marker::enter(&self.root)?;
        if !self.lock.is_in(&present.root) {
            self.lock = Lock::take(&present.root, &self.root)?;
        }
        Ok(present)
    }

    fn list(&mut self) -> Result<(marker::Present, scan::Listing), IntakeError> {
        let present = self.enter()?;
        let listing = scan::list(present.drop.as_fd(), !present.share).map_err(|cause| {
            IntakeError::Away { folder: self.root.join(marker::DROP), source: Some(cause.into()) }
        })?;
        Ok((present, listing))
    }

    /// After a complete look: if the folder was away, its papers did not age meanwhile, and its watches are dead.
    fn come_back(&mut self, now: Duration) {
        if std::mem::take(&mut self.away) {
            let gap = now.saturating_sub(self.looked_at);
            self.settling.thaw(gap);
            self.passed_over.thaw(gap);
            self.hints = self.hints.take().map(|hints| hints.renewed());
        }
        self.looked_at = now;
    }

    /// Watches `drop/` and the folders known in it; true when a watch was added.
    fn follow(&self, hints: &mut watcher::Hints, present: &marker::Present) -> bool {
        if present.share {
            hints.give_up("on a share, what other machines write is not notified".to_owned());
            return false;
        }
        let drop = self.root.join(marker::DROP);
        let mut folders: BTreeMap<_, _> = self
            .folders
            .iter()
            .map(|(name, id)| (if name.is_empty() { drop.clone() } else { drop.join(name) }, *id))
            .collect();
        if let Ok(stat) = rustix::fs::fstat(&present.drop) {
            folders.insert(drop, (stat.st_dev, stat.st_ino));
        }
        hints.follow(&folders)
    }
}

impl fmt::Debug for Folder {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Folder").field("root", &self.root).finish_non_exhaustive()
    }
}
