//! One paper in `drop/`: what a look sees of it, and how it is named to others.

use crate::intake::names;
use rustix::fs::{FileType, Stat};
use std::ffi::{OsStr, OsString};
use std::os::unix::ffi::OsStrExt as _;

/// What a look saw of a paper without opening it. Two equal sights mean that nothing happened in between, as far as
/// the file system tells. Inode numbers are reused, so a sight is never an identity: the hash of the bytes is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sight {
    pub(super) kind: FileType,
    pub(super) ino: u64,
    pub(super) size: u64,
    /// Nanoseconds since 1970 as the file system claims; any value, in any order.
    pub(super) mtime_ns: i128,
    /// Change time: moves even when a copying tool sets the modification time back. Zero on shares, some of which
    /// make it up.
    ctime_ns: i128,
}

impl Sight {
    /// From a stat; `local` false leaves the change time out.
    pub(super) fn of(stat: &Stat, local: bool) -> Self {
        let nanoseconds =
            |seconds: i128, rest: i128| seconds.saturating_mul(1_000_000_000).saturating_add(rest);
        Self {
            kind: FileType::from_raw_mode(stat.st_mode),
            ino: stat.st_ino,
            size: u64::try_from(stat.st_size).unwrap_or(0),
            mtime_ns: nanoseconds(stat.st_mtime.into(), stat.st_mtime_nsec.into()),
            ctime_ns: if local { nanoseconds(stat.st_ctime.into(), stat.st_ctime_nsec.into()) } else { 0 },
        }
    }

    /// True when the other is the same file, most likely with the same bytes. The change time does not count:
    /// permissions and names may change after a paper was read.
    pub(super) fn is_same_paper(&self, other: &Self) -> bool {
        (self.kind, self.ino, self.size, self.mtime_ns) == (other.kind, other.ino, other.size, other.mtime_ns)
    }

    /// The words `inode:mtime_ns:size`. Equal stamps: the same file with, most likely, the same bytes.
    pub(super) fn stamp(&self) -> String {
        format!("{}:{}:{}", self.ino, self.mtime_ns, self.size)
    }

    /// The file's own modification time in Unix milliseconds, cut to what fits.
    pub(super) fn modified(&self) -> i64 {
        let milliseconds = self.mtime_ns.div_euclid(1_000_000);
        i64::try_from(milliseconds).unwrap_or(if milliseconds < 0 { i64::MIN } else { i64::MAX })
    }

    /// For things that are not files, what they are; `None` for a regular file.
    pub(super) fn why_not_a_file(&self) -> Option<&'static str> {
        if self.kind == FileType::RegularFile {
            None
        } else if self.kind == FileType::Symlink {
            Some("link")
        } else if self.kind == FileType::Fifo {
            Some("pipe")
        } else if self.kind == FileType::Socket {
            Some("socket")
        } else {
            Some("device")
        }
    }
}

/// A paper that has settled. Made only by a look; valid until the paper changes, which every later step checks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// The name as people may see it: one line, at most 120 characters, harmless in a terminal. With its folder
    /// in front when it lies in one.
    pub name: String,
    /// The path below `drop/` in raw bytes: a name, or a folder and a name.
    pub path: OsString,
    /// `inode:mtime_ns:size`, to recognise the same paper after a crash.
    pub stamp: String,
    /// Size in bytes.
    pub size: u64,
    /// The name is one that a sync tool or a browser gives when two versions met. The paper is data like any other;
    /// a person should know.
    pub conflict_copy: bool,
    pub(super) sight: Sight,
}

impl Candidate {
    pub(super) fn new(path: &OsStr, sight: Sight) -> Self {
        Self {
            name: names::shown_name(path),
            path: path.to_owned(),
            stamp: sight.stamp(),
            size: sight.size,
            conflict_copy: names::is_conflict_copy(folder_and_name(path).1),
            sight,
        }
    }
}

/// A path below `drop/` as its folder, if it lies in one, and its name.
pub(super) fn folder_and_name(path: &OsStr) -> (Option<&OsStr>, &OsStr) {
    let bytes = path.as_bytes();
    match bytes.iter().position(|byte| *byte == b'/').and_then(|at| bytes.split_at_checked(at)) {
        Some((folder, name)) => {
            (Some(OsStr::from_bytes(folder)), OsStr::from_bytes(name.get(1..).unwrap_or_default()))
        }
        None => (None, path),
    }
}
