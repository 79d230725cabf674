//! What lies in `filed/` and `returned/`: copies for people, and the way back when a ledger is lost.

use crate::intake::claim::read_exactly;
use crate::intake::marker::{FILED, RETURNED};
use crate::intake::names;
use crate::intake::paper::Sight;
use crate::intake::shelf::reach;
use rustix::fd::{AsFd as _, BorrowedFd};
use rustix::fs::{AtFlags, CWD, Dir, Mode, OFlags};
use std::io;
use std::path::Path;

/// A paper that was filed or returned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shelved {
    /// Where it lies, relative to the watch folder.
    pub place: String,
    /// The name it was dropped under, as far as its place tells.
    pub name: String,
    /// `DATE` and `HHMMSS` of its arrival in the shop's zone, where its place tells.
    pub arrived: Option<(String, String)>,
    /// `inode:mtime_ns:size`.
    pub stamp: String,
    /// Its own modification time, Unix milliseconds.
    pub modified: i64,
    /// Size in bytes.
    pub size: u64,
    /// Its slip, for a paper that was returned.
    pub slip: Option<String>,
}

/// The ending of a slip's name.
const SLIP: &str = ".slip.txt";

/// Everything in `filed/` and `returned/` below `root`, in the order of arrival; neither needs to be there.
///
/// # Errors
/// A folder or a slip cannot be read.
pub fn shelved(root: &Path) -> io::Result<Vec<Shelved>> {
    let plain = OFlags::RDONLY | OFlags::DIRECTORY | OFlags::CLOEXEC;
    let root = rustix::fs::openat(CWD, root, plain, Mode::empty())?;
    let mut found = Vec::new();
    for top in [FILED, RETURNED] {
        for date in names_in(root.as_fd(), top)? {
            let folder = format!("{top}/{date}");
            for name in names_in(root.as_fd(), &folder)?.into_iter().filter(|name| !name.ends_with(SLIP)) {
                found.extend(one(root.as_fd(), &folder, &date, &name, top == RETURNED)?);
            }
        }
    }
    found.sort_by(|a, b| a.arrived.cmp(&b.arrived).then_with(|| a.place.cmp(&b.place)));
    Ok(found)
}

/// The bytes of a paper that lies at a place; `None` when it is no plain file or changes meanwhile.
///
/// # Errors
/// It cannot be read.
pub fn read_shelved(root: &Path, paper: &Shelved) -> io::Result<Option<Vec<u8>>> {
    let Some((folder, name)) = paper.place.rsplit_once('/') else { return Ok(None) };
    let plain = OFlags::RDONLY | OFlags::DIRECTORY | OFlags::CLOEXEC;
    let root = rustix::fs::openat(CWD, root, plain, Mode::empty())?;
    let folder = reach(root.as_fd(), folder, false)?;
    bytes_of(folder.as_fd(), name, paper.size)
}

fn bytes_of(folder: BorrowedFd<'_>, name: &str, size: u64) -> io::Result<Option<Vec<u8>>> {
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let file = rustix::fs::openat(folder, name, flags, Mode::empty())?;
    Ok(read_exactly(&file, size)?)
}

fn names_in(root: BorrowedFd<'_>, folder: &str) -> io::Result<Vec<String>> {
    let handle = match reach(root, folder, false) {
        Ok(handle) => handle,
        // No such folder, or a file in its place: nothing is shelved there.
        Err(rustix::io::Errno::NOENT | rustix::io::Errno::NOTDIR) => return Ok(Vec::new()),
        Err(cause) => return Err(cause.into()),
    };
    let mut found = Vec::new();
    for entry in Dir::read_from(&handle)? {
        let entry = entry?;
        let name = String::from_utf8_lossy(entry.file_name().to_bytes()).into_owned();
        // What we file has a safe name; anything else was put there by somebody.
        if names::is_safe(&name) {
            found.push(name);
        }
    }
    found.sort();
    Ok(found)
}

fn one(
    root: BorrowedFd<'_>,
    folder: &str,
    date: &str,
    name: &str,
    is_returned: bool,
) -> io::Result<Option<Shelved>> {
    let handle = reach(root, folder, false)?;
    let stat = rustix::fs::statat(&handle, name, AtFlags::SYMLINK_NOFOLLOW)?;
    let sight = Sight::of(&stat, true);
    if sight.why_not_a_file().is_some() {
        return Ok(None);
    }
    let mut parts = name.splitn(3, '-');
    let (time, hash, rest) = (parts.next(), parts.next(), parts.next());
    let is_time = |time: &&str| time.len() == 6 && time.bytes().all(|b| b.is_ascii_digit());
    let is_hash = |hash: &&str| hash.len() == 10 || *hash == "unread";
    let dropped_as =
        rest.filter(|_| time.as_ref().is_some_and(is_time) && hash.as_ref().is_some_and(is_hash));
    let arrived = dropped_as.and(time).map(|time| (date.to_owned(), time.to_owned()));
    let slip = if is_returned { slip_of(handle.as_fd(), name)? } else { None };
    Ok(Some(Shelved {
        place: format!("{folder}/{name}"),
        name: dropped_as.unwrap_or(name).to_owned(),
        arrived,
        stamp: sight.stamp(),
        modified: sight.modified(),
        size: sight.size,
        slip: if is_returned { Some(slip.unwrap_or_default()) } else { None },
    }))
}

fn slip_of(folder: BorrowedFd<'_>, name: &str) -> io::Result<Option<String>> {
    let slip = format!("{name}{SLIP}");
    match rustix::fs::statat(folder, &slip, AtFlags::SYMLINK_NOFOLLOW) {
        Ok(stat) => {
            let bytes = bytes_of(folder, &slip, Sight::of(&stat, true).size)?;
            Ok(bytes.map(|bytes| String::from_utf8_lossy(&bytes).into_owned()))
        }
        Err(rustix::io::Errno::NOENT) => Ok(None),
        Err(cause) => Err(cause.into()),
    }
}
