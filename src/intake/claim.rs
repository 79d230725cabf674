//! Reading settled papers: a bounded read that proves the paper did not change while it was read.
//!
//! Opened without following links and without waiting, so that a pipe or a link put in a paper's place between the
//! look and the claim harms nobody. What differs from the settled sight in any way is left for the next look.

use crate::facts::Digest;
use crate::intake::marker::FOLDER;
use crate::intake::paper::Candidate;
use crate::intake::paper::Sight;
use crate::intake::paper::folder_and_name;
use rustix::fd::{AsFd, BorrowedFd, OwnedFd};
use rustix::fs::{Mode, OFlags};
use rustix::io::Errno;
use std::ffi::{OsStr, OsString};
use std::io;

/// From so many papers on, two threads read.
const MANY: usize = 128;

/// A settled paper after the attempt to read it.
#[derive(Debug)]
pub enum Claim {
    /// Read whole, and unchanged while it was read.
    Paper {
        /// The paper.
        candidate: Candidate,
        /// All its bytes.
        bytes: Vec<u8>,
        /// SHA-256 of the bytes.
        hash: Digest,
        /// The file's own modification time in Unix milliseconds: a claim of its sender, never compared with
        /// our clock.
        modified: i64,
    },
    /// Over the size limit, never opened.
    TooLarge {
        /// The paper.
        candidate: Candidate,
        /// Its size in bytes.
        size: u64,
    },
    /// Not a file, never opened.
    NotAFile {
        /// The thing.
        candidate: Candidate,
        /// What it is: link, pipe, socket or device.
        what: &'static str,
    },
    /// It went or changed under our hands. Nothing to do: the next look finds what there is.
    Moved {
        /// The paper as it was.
        candidate: Candidate,
    },
    /// It could not be read. It waits and is handed out again, ever more rarely.
    Unreadable {
        /// The paper.
        candidate: Candidate,
        /// The cause.
        error: io::Error,
    },
}

/// Reads these papers; the answers come in the same order.
pub(super) fn read_all(drop: BorrowedFd<'_>, ready: &[Candidate], limit: u64, local: bool) -> Vec<Claim> {
    let (first, second) = ready.split_at(if ready.len() < MANY { ready.len() } else { ready.len() / 2 });
    let read = |papers: &[Candidate]| -> Vec<Claim> {
        let mut reader = Reader { inside: Inside::new(drop), local };
        papers.iter().map(|candidate| reader.claim(candidate, limit)).collect()
    };
    std::thread::scope(|scope| {
        // Without a second thread to be had, one does all the work.
        let helping = (!second.is_empty())
            .then(|| std::thread::Builder::new().spawn_scoped(scope, || read(second)).ok())
            .flatten();
        let mut claims = read(first);
        match helping.map(std::thread::ScopedJoinHandle::join) {
            Some(Ok(more)) => claims.extend(more),
            Some(Err(panic)) => std::panic::resume_unwind(panic),
            None => claims.extend(read(second)),
        }
        claims
    })
}

/// Papers to be read before their turn. What is read holds as long as a later look finds the same [`Candidate`].
#[derive(Debug)]
pub struct ReadAhead {
    drop: OwnedFd,
    papers: Vec<Candidate>,
    limit: u64,
}

impl ReadAhead {
    pub(super) const fn new(drop: OwnedFd, papers: Vec<Candidate>, limit: u64) -> Self {
        Self { drop, papers, limit }
    }

    /// Reads them, one after the other; the answers come in the same order.
    #[must_use]
    pub fn read(self) -> Vec<Claim> {
        let mut reader = Reader { inside: Inside::new(self.drop.as_fd()), local: true };
        self.papers.iter().map(|candidate| reader.claim(candidate, self.limit)).collect()
    }
}

/// Reads papers below `drop/`.
struct Reader<'a> {
    inside: Inside<'a>,
    local: bool,
}

impl Reader<'_> {
    fn claim(&mut self, candidate: &Candidate, limit: u64) -> Claim {
        let candidate_again = candidate.clone();
        if let Some(what) = candidate.sight.why_not_a_file() {
            return Claim::NotAFile { candidate: candidate_again, what };
        }
        let size = candidate.size;
        if size > limit {
            return Claim::TooLarge { candidate: candidate_again, size };
        }
        match self.read(candidate) {
            Ok(Some(bytes)) => {
                let hash = Digest::of(&bytes);
                Claim::Paper { candidate: candidate_again, bytes, hash, modified: candidate.sight.modified() }
            }
            // LOOP: a link took its place. NXIO: a socket did.
            Ok(None) | Err(Errno::NOENT | Errno::LOOP | Errno::NXIO) => {
                Claim::Moved { candidate: candidate_again }
            }
            Err(cause) => Claim::Unreadable { candidate: candidate_again, error: cause.into() },
        }
    }

    /// The bytes of a paper; `None` when it is no longer as it was seen.
    fn read(&mut self, candidate: &Candidate) -> Result<Option<Vec<u8>>, Errno> {
        let (folder, name) = folder_and_name(&candidate.path);
        let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::NOCTTY | OFlags::CLOEXEC;
        let file = rustix::fs::openat(self.inside.folder(folder)?, name, flags, Mode::empty())?;
        let as_seen = |local| Ok::<_, Errno>(Sight::of(&rustix::fs::fstat(&file)?, local) == candidate.sight);
        if !as_seen(self.local)? {
            return Ok(None);
        }
        let bytes = read_exactly(&file, candidate.size)?;
        Ok(bytes.filter(|_| as_seen(self.local).unwrap_or(false)))
    }
}

/// Handles on the folders in `drop/`. Papers come folder by folder, so one is kept open.
pub(super) struct Inside<'a> {
    drop: BorrowedFd<'a>,
    open: Option<(OsString, OwnedFd)>,
}

impl<'a> Inside<'a> {
    pub(super) fn new(drop: BorrowedFd<'a>) -> Self {
        Self { drop, open: None }
    }

    /// The folder of this name, or `drop/` itself.
    pub(super) fn folder(&mut self, folder: Option<&OsStr>) -> Result<BorrowedFd<'_>, Errno> {
        let Some(folder) = folder else { return Ok(self.drop) };
        let open = match self.open.take().filter(|(name, _)| name == folder) {
            Some(open) => open,
            None => (folder.to_owned(), rustix::fs::openat(self.drop, folder, FOLDER, Mode::empty())?),
        };
        Ok(self.open.insert(open).1.as_fd())
    }
}

/// Reads a file of `size` bytes, and tries for one more: a file that turns out longer or shorter gives `None`.
pub(super) fn read_exactly(file: impl AsFd, size: u64) -> Result<Option<Vec<u8>>, Errno> {
    let Ok(size) = usize::try_from(size) else { return Ok(None) };
    let mut bytes = Vec::with_capacity(size + 1);
    loop {
        let n_read = rustix::io::retry_on_intr(|| {
            rustix::io::read(&file, rustix::buffer::spare_capacity(&mut bytes))
        })?;
        // On a regular file a read that ends at the known size has found the end; no second call is needed.
        if n_read == 0 || bytes.len() >= size {
            return Ok((bytes.len() == size).then_some(bytes));
        }
    }
}
