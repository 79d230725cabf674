//! The second look at a paper after it was moved away: a sender may still hold it open and go on writing.
//!
//! What it wrote later was never read, so the paper goes back into `drop/` under a fresh name and is taken in anew.

use crate::facts::Digest;
use crate::intake::claim::read_exactly;
use crate::intake::error::IntakeError;
use crate::intake::marker::DROP;
use crate::intake::marker::Present;
use crate::intake::names;
use crate::intake::paper::Sight;
use crate::intake::shelf::reach;
use crate::intake::shelf::rename_fresh;
use rustix::fd::{AsFd as _, OwnedFd};
use rustix::fs::{AtFlags, FileType, Mode, OFlags};
use rustix::io::Errno;
use std::collections::VecDeque;
use std::time::Duration;

/// How long after it was moved a paper is looked at again.
const AFTER: Duration = Duration::from_secs(60);

/// At most so many wait for their second look; beyond that the oldest get it early. Bounds the memory of a flood.
const MOST: usize = 100_000;

/// At most so many fresh names are tried for one paper.
const NUMBERS: u32 = 1_000;

#[derive(Debug)]
struct Moved {
    place: String,
    stamp: String,
    hash: Option<Digest>,
    due: Duration,
}

/// Papers moved lately, oldest first.
#[derive(Debug, Default)]
pub(super) struct Relooks {
    moved: VecDeque<Moved>,
}

impl Relooks {
    /// Notes a paper for its second look.
    pub(super) fn remember(&mut self, place: String, stamp: String, hash: Option<Digest>, now: Duration) {
        self.moved.push_back(Moved { place, stamp, hash, due: now.saturating_add(AFTER) });
    }

    /// When the next second look is due.
    pub(super) fn next(&self) -> Option<Duration> {
        self.moved.front().map(|moved| moved.due)
    }

    /// Looks at all that are due. Answers with the name in `drop/` of each paper moved back, or why it could not
    /// be; those are tried again.
    pub(super) fn look(
        &mut self,
        present: &Present,
        size_limit: u64,
        now: Duration,
    ) -> Vec<Result<String, IntakeError>> {
        let mut results = Vec::new();
        let mut failed = Vec::new();
        let mut open: Option<(String, OwnedFd)> = None;
        while let Some(moved) = self.take_due(now) {
            let Some((folder, name)) = moved.place.rsplit_once('/') else { continue };
            let handle = match open.take().filter(|(path, _)| path == folder) {
                Some((_, handle)) => Ok(handle),
                None => reach(present.root.as_fd(), folder, false),
            };
            let back = handle.and_then(|handle| {
                let back = look_at_one(present, &handle, name, &moved, size_limit);
                open = Some((folder.to_owned(), handle));
                back
            });
            match back {
                Ok(Some(fresh)) => results.push(Ok(fresh)),
                // A paper that a person took away is theirs.
                Ok(None) | Err(Errno::NOENT) => {}
                Err(cause) => {
                    let place = format!("{DROP}/");
                    results.push(Err(IntakeError::Move {
                        name: moved.place.clone(),
                        place,
                        source: cause.into(),
                    }));
                    failed.push(moved);
                }
            }
        }
        for moved in failed {
            self.remember(moved.place, moved.stamp, moved.hash, now);
        }
        results
    }

    fn take_due(&mut self, now: Duration) -> Option<Moved> {
        let is_due = self.moved.front()?.due <= now;
        if is_due || self.moved.len() > MOST { self.moved.pop_front() } else { None }
    }
}

/// Moves the paper back if its bytes are not those that were taken in; answers with its fresh name.
fn look_at_one(
    present: &Present,
    folder: &OwnedFd,
    name: &str,
    moved: &Moved,
    size_limit: u64,
) -> Result<Option<String>, Errno> {
    let sight = Sight::of(&rustix::fs::statat(folder, name, AtFlags::SYMLINK_NOFOLLOW)?, false);
    if sight.stamp() == moved.stamp || sight.kind != FileType::RegularFile {
        return Ok(None);
    }
    if moved.hash.is_some() && sight.size <= size_limit && moved.hash == hash_of(folder, name, sight.size)? {
        return Ok(None);
    }
    let fresh = move_back(present, folder, name)?;
    // Arrival before departure, as in filing.
    rustix::fs::fsync(&present.drop)?;
    rustix::fs::fsync(folder)?;
    Ok(Some(fresh))
}

/// The hash of a file's bytes; `None` when it changes while it is read.
fn hash_of(folder: &OwnedFd, name: &str, size: u64) -> Result<Option<Digest>, Errno> {
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let file = rustix::fs::openat(folder, name, flags, Mode::empty())?;
    Ok(read_exactly(&file, size)?.map(|bytes| Digest::of(&bytes)))
}

fn move_back(present: &Present, folder: &OwnedFd, name: &str) -> Result<String, Errno> {
    let base = fresh_name(name);
    for number in 1..NUMBERS {
        let fresh = if number == 1 { base.clone() } else { names::numbered(&base, number) };
        match rename_fresh(folder.as_fd(), name, present.drop.as_fd(), &fresh) {
            Ok(()) => return Ok(fresh),
            Err(Errno::EXIST) => {}
            Err(cause) => return Err(cause),
        }
    }
    Err(Errno::EXIST)
}

/// `again-` and the name without the time and hash it was filed under.
fn fresh_name(name: &str) -> String {
    let mut parts = name.splitn(3, '-');
    let own = match (parts.next(), parts.next(), parts.next()) {
        (Some(_), Some(_), Some(own)) => own,
        (_, _, _) => name,
    };
    format!("again-{}", own.strip_prefix("again-").unwrap_or(own))
}
