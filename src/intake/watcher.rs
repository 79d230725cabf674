//! Notifications that something stirs in `drop/`: a hint to look soon, never a source of truth.
//!
//! The handler allocates nothing and keeps no paths, since a slow handler overflows the kernel's queue and loses
//! most of a flood. It wakes the loop once and then stays silent until the next look has begun; that look sees
//! everything. Whatever goes wrong here only makes the folder a polled one.

use crate::intake::scan::FolderId;
use notify::event::{AccessKind, AccessMode, ModifyKind, RenameMode};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether notifications can be counted on to shorten the wait.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WatchState {
    /// They can; an occasional look is still needed, as some get lost.
    Watching,
    /// They cannot, and why: look every few seconds.
    Polled(String),
}

type Wake = Arc<dyn Fn() + Send + Sync>;

/// What handler and folder tell each other.
#[derive(Default)]
struct Signal {
    /// Somebody was woken and has not looked since.
    woken: AtomicBool,
    /// A watch reported an error.
    failed: AtomicBool,
}

/// The watches on one folder.
pub(super) struct Hints {
    wake: Wake,
    signal: Arc<Signal>,
    watcher: Option<RecommendedWatcher>,
    watched: BTreeMap<PathBuf, FolderId>,
    /// Why there are no watches.
    trouble: Option<String>,
}

impl Hints {
    /// Ready to watch; nothing is watched yet.
    pub(super) fn new(wake: Wake) -> Self {
        let signal = Arc::new(Signal::default());
        let (heard, waker) = (Arc::clone(&signal), Arc::clone(&wake));
        let made = notify::recommended_watcher(move |event: notify::Result<Event>| {
            let worth_a_look = event.as_ref().map_or(true, is_worth_a_look);
            if event.is_err() {
                heard.failed.store(true, Ordering::Release);
            }
            if worth_a_look && !heard.woken.swap(true, Ordering::AcqRel) {
                waker();
            }
        });
        let (watcher, trouble) = match made {
            Ok(watcher) => (Some(watcher), None),
            Err(cause) => (None, Some(cause.to_string())),
        };
        Self { wake, signal, watcher, watched: BTreeMap::new(), trouble }
    }

    /// The same wake, with all watches made anew: after a folder was away its old watches are dead, silently.
    pub(super) fn renewed(&self) -> Self {
        Self::new(Arc::clone(&self.wake))
    }

    /// A look begins: from here on the next event wakes again.
    pub(super) fn looking(&self) {
        self.signal.woken.store(false, Ordering::Release);
    }

    /// Watches exactly these folders. True when a watch was added: papers may have come between the look and
    /// the watch.
    pub(super) fn follow(&mut self, folders: &BTreeMap<PathBuf, FolderId>) -> bool {
        let Some(watcher) = &mut self.watcher else { return false };
        self.watched.retain(|path, id| {
            let stays = folders.get(path) == Some(id);
            if !stays {
                // Fails when the folder is gone already, and with it the watch.
                watcher.unwatch(path).unwrap_or_default();
            }
            stays
        });
        let mut added = false;
        for (path, id) in folders {
            if self.watched.contains_key(path) {
                continue;
            }
            match watcher.watch(path, RecursiveMode::NonRecursive) {
                Ok(()) => {
                    self.watched.insert(path.clone(), *id);
                    added = true;
                }
                Err(cause) => {
                    self.give_up(cause.to_string());
                    return added;
                }
            }
        }
        added
    }

    /// No watches from here on, for this reason.
    pub(super) fn give_up(&mut self, why: String) {
        self.watcher = None;
        self.watched.clear();
        self.trouble = Some(why);
    }

    pub(super) fn state(&self) -> WatchState {
        match &self.trouble {
            Some(why) => WatchState::Polled(why.clone()),
            None if self.signal.failed.load(Ordering::Acquire) => {
                WatchState::Polled("a watch reported an error".to_owned())
            }
            None => WatchState::Watching,
        }
    }
}

/// A call for a full rescan always is; our own reading and moving away never is, or each look would cause the next.
fn is_worth_a_look(event: &Event) -> bool {
    let is_read = matches!(event.kind, EventKind::Access(_));
    let is_written = matches!(event.kind, EventKind::Access(AccessKind::Close(AccessMode::Write)));
    let is_departure = matches!(event.kind, EventKind::Modify(ModifyKind::Name(RenameMode::From)));
    event.need_rescan() || is_written || !(is_read || is_departure)
}
