//! When a paper may be read: a state machine over what the looks saw, on the caller's clock, without any file.
//!
//! A paper is *fresh* until it has looked the same for the quiet time; then it is handed out, again and again,
//! until it is gone or *held* for a reason. Any change makes it fresh once more.

use crate::intake::names;
use crate::intake::paper::Candidate;
use crate::intake::paper::Sight;
use crate::intake::paper::folder_and_name;
use crate::intake::scan::Seen;
use crate::intake::settings::Settings;
use rustix::io::Errno;
use std::collections::BTreeMap;
use std::ffi::{OsStr, OsString};
use std::time::Duration;
use std::{fmt, io};

/// How the content of a settled paper looks incomplete. Only the caller, who decodes, can tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfinished {
    /// No bytes, or nothing but white space or zero bytes: the content may come later.
    Empty,
    /// It begins well and stops in the middle.
    CutShort,
    /// It is wrong before its end; a sender that fills in gaps can still mend it.
    Broken,
}

/// Why a paper stays in `drop/` for now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Why {
    /// It has not lain still long enough.
    Settling,
    /// It is empty while a download of its name is under way beside it.
    AwaitsDownload,
    /// It still has the temporary name of a download or copy, and has had it for long.
    UnderWay,
    /// Its content is not complete.
    Unfinished(Unfinished),
    /// It could not be looked at or read; the cause.
    CannotRead(String),
    /// It was taken in, but could not be moved away; the cause.
    CannotFile(String),
    /// It is a folder inside a folder, and those are not read.
    TooDeep,
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Settling => f.write_str("still arriving"),
            Self::AwaitsDownload => f.write_str("empty, its download is still under way"),
            Self::UnderWay => f.write_str(
                "named as a download or copy under way, which is never taken in; once it is whole, give it its own name",
            ),
            Self::Unfinished(Unfinished::Empty) => f.write_str("empty so far"),
            Self::Unfinished(Unfinished::CutShort) => f.write_str("stops in the middle, the rest may follow"),
            Self::Unfinished(Unfinished::Broken) => f.write_str("not readable as a whole yet"),
            Self::CannotRead(cause) => write!(f, "cannot be read ({cause}), tried again"),
            Self::CannotFile(cause) => write!(f, "taken in, but cannot be moved away ({cause}), tried again"),
            Self::TooDeep => f.write_str("a folder inside a folder; move its papers up one level"),
        }
    }
}

/// Something in `drop/` that is not handed out, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Waiting {
    /// The name as people may see it.
    pub name: String,
    /// What it waits for.
    pub why: Why,
}

#[derive(Debug)]
enum Phase {
    Fresh,
    Held { why: Why, tries: u32, again: Duration },
}

#[derive(Debug)]
struct Paper {
    sight: Sight,
    /// The first look that saw it as it is now.
    since: Duration,
    awaits_download: bool,
    phase: Phase,
    /// The number of that look, and of the latest one that saw it.
    first_round: u64,
    round: u64,
}

/// What a look hands out.
#[derive(Debug, Default)]
pub(super) struct Sorted {
    pub(super) ready: Vec<Candidate>,
    pub(super) following: Vec<Candidate>,
    pub(super) behind: usize,
    pub(super) waiting: Vec<Waiting>,
    pub(super) next: Option<Duration>,
    pub(super) settled: Option<Duration>,
}

/// What a batch has taken up so far.
#[derive(Default)]
struct Load {
    files: usize,
    bytes: u64,
    is_full: bool,
}

impl Load {
    /// Takes another paper of so many bytes, unless the batch is full. Papers keep their order, so the first that finds no
    /// room ends it; one alone always has room.
    fn takes(&mut self, weight: u64, settings: &Settings) -> bool {
        let is_over = self.bytes + weight > settings.batch_bytes && self.files > 0;
        self.is_full |= is_over || self.files >= settings.batch_files.max(1);
        if !self.is_full {
            (self.files, self.bytes) = (self.files + 1, self.bytes + weight);
        }
        !self.is_full
    }
}

/// All papers in `drop/` as far as the looks saw them.
#[derive(Debug, Default)]
pub(super) struct Settling {
    /// By path, so that batches come in one order.
    papers: BTreeMap<OsString, Paper>,
    round: u64,
}

impl Settling {
    /// Takes in one complete look. What it did not see is gone, except where it could not look.
    pub(super) fn observe(&mut self, papers: Vec<Seen>, unknown: &BTreeMap<OsString, Errno>, now: Duration) {
        self.round += 1;
        let round = self.round;
        for Seen { path, sight, awaits_download } in papers {
            let fresh =
                Paper { sight, since: now, awaits_download, phase: Phase::Fresh, first_round: round, round };
            let paper = self.papers.entry(path).or_insert(fresh);
            if paper.sight != sight {
                (paper.sight, paper.since, paper.phase) = (sight, now, Phase::Fresh);
                paper.first_round = round;
            }
            (paper.awaits_download, paper.round) = (awaits_download, round);
        }
        self.papers.retain(|path, paper| {
            let folder = folder_and_name(path).0;
            paper.round == round
                || unknown.contains_key(path)
                || folder.is_some_and(|folder| unknown.contains_key(folder))
        });
    }

    /// Moves all clocks on by the time a folder was away: nothing in it grew older.
    pub(super) fn thaw(&mut self, gap: Duration) {
        for paper in self.papers.values_mut() {
            paper.since = paper.since.saturating_add(gap);
            if let Phase::Held { again, .. } = &mut paper.phase {
                *again = again.saturating_add(gap);
            }
        }
    }

    /// Sorts what the look saw into what may be read now and what waits. Ready papers beyond the size of a batch
    /// are counted, and the next batch of them is named.
    pub(super) fn sort_out(&self, settings: &Settings, quiet: Duration, now: Duration) -> Sorted {
        let mut sorted = Sorted::default();
        let (mut now_read, mut read_next) = (Load::default(), Load::default());
        for (path, paper) in &self.papers {
            // Not seen by this look: only kept in mind.
            if paper.round != self.round {
                continue;
            }
            if let Some((why, again)) = paper.why_waiting(path, settings, quiet, now) {
                if why == Why::Settling {
                    sorted.settled = sorted.settled.max(again);
                }
                sorted.waiting.push(Waiting { name: names::shown_name(path), why });
                sorted.next = earlier(sorted.next, again);
                continue;
            }
            // What is too large is never read and weighs nothing.
            let weight = if paper.sight.size > settings.size_limit { 0 } else { paper.sight.size };
            if now_read.takes(weight, settings) {
                sorted.ready.push(Candidate::new(path, paper.sight));
                continue;
            }
            sorted.behind += 1;
            sorted.next = Some(now);
            if read_next.takes(weight, settings) {
                sorted.following.push(Candidate::new(path, paper.sight));
            }
        }
        sorted
    }

    /// Since when a candidate has looked as it does; `None` when it changed or went meanwhile.
    pub(super) fn unchanged_since(&self, candidate: &Candidate) -> Option<Duration> {
        let paper = self.papers.get(&candidate.path)?;
        (paper.sight == candidate.sight).then_some(paper.since)
    }

    /// Holds a candidate back for a reason. Tries become rarer; the last one comes when `patience` ends.
    pub(super) fn hold(
        &mut self,
        candidate: &Candidate,
        why: Why,
        patience: Option<Duration>,
        now: Duration,
    ) {
        let Some(paper) = self.papers.get_mut(&candidate.path) else { return };
        if paper.sight != candidate.sight {
            return;
        }
        let tries = match &paper.phase {
            Phase::Fresh => 0,
            Phase::Held { tries, .. } => *tries,
        };
        let delay = match (&why, tries) {
            (Why::CannotFile(_), _) => 30,
            (_, 0) => 2,
            (_, 1) => 4,
            (_, 2) => 8,
            (_, 3) => 16,
            (_, _) => 30,
        };
        let again = now.saturating_add(Duration::from_secs(delay));
        let end = patience.map(|patience| paper.since.saturating_add(patience)).filter(|end| *end > now);
        let again = end.map_or(again, |end| end.min(again));
        paper.phase = Phase::Held { why, tries: tries.saturating_add(1), again };
    }

    /// Forgets a paper that left or changed under our hands: if there is one by that name, it settles anew.
    pub(super) fn forget(&mut self, path: &OsStr) {
        self.papers.remove(path);
    }
}

impl Paper {
    /// What this paper waits for, and when it is worth looking again if waiting alone can help.
    fn why_waiting(
        &self,
        path: &OsStr,
        settings: &Settings,
        quiet: Duration,
        now: Duration,
    ) -> Option<(Why, Option<Duration>)> {
        let quiet = if names::is_rows(path) { quiet.max(settings.quiet_rows) } else { quiet };
        let settled = self.since.saturating_add(quiet);
        let seen_once = self.first_round == self.round;
        match &self.phase {
            Phase::Fresh if now < settled || seen_once => Some((Why::Settling, Some(settled))),
            Phase::Fresh if self.awaits_download => Some((Why::AwaitsDownload, None)),
            Phase::Held { why, again, .. } if now < *again => Some((why.clone(), Some(*again))),
            Phase::Fresh | Phase::Held { .. } => None,
        }
    }
}

/// The earlier of two times, either of which may be missing.
pub(super) fn earlier(one: Option<Duration>, other: Option<Duration>) -> Option<Duration> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}

/// What waits without being a paper that settles: folders too deep, and what could not be looked at.
pub(super) fn other_waiting(too_deep: &[OsString], unknown: &BTreeMap<OsString, Errno>) -> Vec<Waiting> {
    let too_deep = too_deep.iter().map(|path| (path, Why::TooDeep));
    let unknown =
        unknown.iter().map(|(path, cause)| (path, Why::CannotRead(io::Error::from(*cause).to_string())));
    too_deep.chain(unknown).map(|(path, why)| Waiting { name: names::shown_name(path), why }).collect()
}
