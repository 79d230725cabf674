//! After a start: papers whose end the power took.
//!
//! Few senders sync what they write, and to move a paper is not to sync it: for half a minute its bytes may be in memory
//! only while its name is on the disk already. After a power cut it is empty then, or ends early. The ledger has the
//! bytes, so they are written into the same file again, and it is given back the time it had. Whoever looks finds the
//! paper that was taken in, in `filed/` or on its way there.

use crate::intake::claim::read_exactly;
use crate::intake::error::IntakeError;
use crate::intake::marker::Present;
use crate::intake::paper::Sight;
use crate::intake::shelf::reach;
use rustix::fd::{AsFd as _, BorrowedFd};
use rustix::fs::{AtFlags, FileType, Mode, OFlags, Timespec, Timestamps, UTIME_OMIT};
use rustix::io::Errno;
use std::fs::File;
use std::io;
use std::os::unix::fs::FileExt as _;

/// A paper that is shorter than it was when it was read, though nobody has written in it since.
#[derive(Debug)]
pub struct Remains {
    place: String,
    file: File,
    size: u64,
    mtime_ns: i128,
}

impl Remains {
    /// What is left of a paper, by the stamp that it had when it was read: at its place, or still in `drop/` when it was
    /// not moved before the stop. None when it is whole, was taken away, or is another file.
    pub(super) fn find(
        present: &Present,
        place: &str,
        name: &str,
        stamp: &str,
    ) -> Result<Option<Self>, IntakeError> {
        let found = at_place(present, place, stamp).or_else(|cause| match cause {
            Errno::NOENT if !name.contains('/') => cut_short(present.drop.as_fd(), name, stamp),
            _ => Err(cause),
        });
        match found {
            Ok(found) => {
                Ok(found.map(|(file, size, mtime_ns)| Self { place: place.to_owned(), file, size, mtime_ns }))
            }
            Err(Errno::NOENT) => Ok(None),
            Err(cause) => Err(failed(place, cause.into())),
        }
    }

    /// Writes the paper whole again and makes that durable; false when what is left is not the beginning of these bytes.
    ///
    /// # Errors
    /// The disk did not take it; what is left is found again by the next start.
    pub fn restore(self, bytes: &[u8]) -> Result<bool, IntakeError> {
        self.write(bytes).map_err(|source| failed(&self.place, source))
    }

    fn write(&self, bytes: &[u8]) -> io::Result<bool> {
        let left = read_exactly(&self.file, self.size)?;
        if !left.is_some_and(|left| bytes.starts_with(&left)) {
            return Ok(false);
        }
        self.file.write_all_at(bytes, 0)?;
        rustix::fs::futimens(&self.file, &times(self.mtime_ns))?;
        self.file.sync_all()?;
        Ok(true)
    }
}

type Found = Option<(File, u64, i128)>;

fn at_place(present: &Present, place: &str, stamp: &str) -> Result<Found, Errno> {
    let Some((folder, name)) = place.rsplit_once('/') else { return Ok(None) };
    let folder = reach(present.root.as_fd(), folder, false)?;
    cut_short(folder.as_fd(), name, stamp)
}

/// The same file by its inode and the time of its last write, but shorter.
fn cut_short(folder: BorrowedFd<'_>, name: &str, stamp: &str) -> Result<Found, Errno> {
    let sight = Sight::of(&rustix::fs::statat(folder, name, AtFlags::SYMLINK_NOFOLLOW)?, false);
    let now = sight.stamp();
    let (Some((same, size)), Some((same_now, _))) = (stamp.rsplit_once(':'), now.rsplit_once(':')) else {
        return Ok(None);
    };
    let is_shorter = size.parse().is_ok_and(|size: u64| sight.size < size);
    if same != same_now || !is_shorter || sight.kind != FileType::RegularFile {
        return Ok(None);
    }
    let flags = OFlags::RDWR | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let file = rustix::fs::openat(folder, name, flags, Mode::empty())?;
    Ok(Some((file.into(), sight.size, sight.mtime_ns)))
}

fn times(mtime_ns: i128) -> Timestamps {
    let whole = i64::try_from(mtime_ns.div_euclid(1_000_000_000)).unwrap_or(0);
    let part = i64::try_from(mtime_ns.rem_euclid(1_000_000_000)).unwrap_or(0);
    Timestamps {
        last_access: Timespec { tv_sec: 0, tv_nsec: UTIME_OMIT },
        last_modification: Timespec { tv_sec: whole, tv_nsec: part },
    }
}

fn failed(place: &str, source: io::Error) -> IntakeError {
    IntakeError::Restore { place: place.to_owned(), source }
}
