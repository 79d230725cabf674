//! The folders of one filing batch: opened once, made as needed, synced once at the end; and the one rename.

use crate::intake::claim::Inside;
use crate::intake::claim::read_exactly;
use crate::intake::marker::DROP;
use crate::intake::marker::FOLDER;
use crate::intake::marker::Present;
use rustix::fd::{AsFd as _, BorrowedFd, OwnedFd};
use rustix::fs::{AtFlags, Mode, OFlags, RenameFlags};
use rustix::io::Errno;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::{OsStr, OsString};
use std::fs::File;
use std::io;
use std::io::Write as _;

/// A slip under way. Always the same name, so that a crash leaves at most one behind, and a hidden one.
const SLIP_UNDER_WAY: &str = ".slip.tmp";

/// The folders that one batch of moves touches.
pub(super) struct Shelf<'a> {
    root: BorrowedFd<'a>,
    /// Where papers come from.
    pub(super) inside: Inside<'a>,
    /// Where they go, by path below the watch folder.
    targets: BTreeMap<String, OwnedFd>,
    /// The folders in `drop/` that papers left; `drop/` itself is the empty name.
    left: BTreeSet<OsString>,
}

impl<'a> Shelf<'a> {
    pub(super) fn new(present: &'a Present) -> Self {
        Self {
            root: present.root.as_fd(),
            inside: Inside::new(present.drop.as_fd()),
            targets: BTreeMap::new(),
            left: BTreeSet::new(),
        }
    }

    /// Opens a folder below the watch folder, making what is missing on the way. Harmless when repeated.
    pub(super) fn prepare(&mut self, folder: &str) -> Result<(), Errno> {
        if self.targets.contains_key(folder) {
            return Ok(());
        }
        self.targets.insert(folder.to_owned(), reach(self.root, folder, true)?);
        Ok(())
    }

    /// A prepared folder.
    pub(super) fn target(&self, folder: &str) -> Result<BorrowedFd<'_>, Errno> {
        self.targets.get(folder).map(OwnedFd::as_fd).ok_or(Errno::NOENT)
    }

    /// Moves a paper out of `drop/` into a prepared folder; `EXIST` when the name is taken.
    pub(super) fn take_out(
        &mut self,
        from: Option<&OsStr>,
        name: &OsStr,
        folder: &str,
        new_name: &str,
    ) -> Result<(), Errno> {
        let target = self.targets.get(folder).ok_or(Errno::NOENT)?;
        rename_fresh(self.inside.folder(from)?, name, target.as_fd(), new_name)?;
        let from = from.unwrap_or_default();
        if !self.left.contains(from) {
            self.left.insert(from.to_owned());
        }
        Ok(())
    }

    /// Makes all moves durable; answers with the folders, below the watch folder, that the disk did not confirm.
    /// Arrivals are confirmed before departures, so that a power cut leaves a paper twice rather than nowhere.
    pub(super) fn sync(&mut self) -> Vec<(OsString, Errno)> {
        let unsure =
            |(folder, cause): (OsString, Result<(), Errno>)| cause.err().map(|cause| (folder, cause));
        let arrivals = self.targets.iter().map(|(folder, handle)| (folder.into(), rustix::fs::fsync(handle)));
        let unconfirmed: Vec<_> = arrivals.filter_map(unsure).collect();
        if !unconfirmed.is_empty() {
            return unconfirmed;
        }
        let left = std::mem::take(&mut self.left);
        let departures = left.into_iter().map(|folder| {
            let inner = (!folder.is_empty()).then_some(folder.as_os_str());
            let synced = self.inside.folder(inner).and_then(rustix::fs::fsync);
            (source_folder(inner), synced)
        });
        // A folder that was removed once it was empty needs no confirmation.
        departures.filter_map(unsure).filter(|(_, cause)| *cause != Errno::NOENT).collect()
    }
}

/// Opens a folder below the watch folder part by part, never through a link; makes what is missing if told to.
pub(super) fn reach(root: BorrowedFd<'_>, folder: &str, make: bool) -> Result<OwnedFd, Errno> {
    let mut handle = rustix::fs::openat(root, ".", FOLDER, Mode::empty())?;
    for name in folder.split('/') {
        if make {
            match rustix::fs::mkdirat(&handle, name, Mode::from(0o777)) {
                Ok(()) => rustix::fs::fsync(&handle)?,
                Err(Errno::EXIST) => {}
                Err(cause) => return Err(cause),
            }
        }
        handle = rustix::fs::openat(&handle, name, FOLDER, Mode::empty())?;
    }
    Ok(handle)
}

/// A folder in `drop/` by its path below the watch folder.
pub(super) fn source_folder(folder: Option<&OsStr>) -> OsString {
    let mut path = OsString::from(DROP);
    if let Some(folder) = folder {
        path.push("/");
        path.push(folder);
    }
    path
}

/// Renames without ever overwriting: `EXIST` when the new name is taken. Where the file system lacks such a rename,
/// it looks first; one process per folder makes that good enough.
pub(crate) fn rename_fresh(
    from: BorrowedFd<'_>,
    name: impl AsRef<OsStr>,
    to: BorrowedFd<'_>,
    new_name: &str,
) -> Result<(), Errno> {
    let name = name.as_ref();
    match rustix::fs::renameat_with(from, name, to, new_name, RenameFlags::NOREPLACE) {
        Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) if is_taken(to, new_name)? => Err(Errno::EXIST),
        Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => rustix::fs::renameat(from, name, to, new_name),
        result => result,
    }
}

/// True when something has this name.
pub(super) fn is_taken(folder: BorrowedFd<'_>, name: &str) -> Result<bool, Errno> {
    match rustix::fs::statat(folder, name, AtFlags::SYMLINK_NOFOLLOW) {
        Ok(_) => Ok(true),
        Err(Errno::NOENT) => Ok(false),
        Err(cause) => Err(cause),
    }
}

/// Writes a slip, durable before it has its name; false when another text has that name already. The same text
/// there is the slip of an earlier try that a crash cut off.
pub(super) fn write_slip(folder: BorrowedFd<'_>, name: &str, text: &str) -> io::Result<bool> {
    let flags = OFlags::WRONLY | OFlags::CREATE | OFlags::TRUNC | OFlags::NOFOLLOW | OFlags::CLOEXEC;
    let mut file = File::from(rustix::fs::openat(folder, SLIP_UNDER_WAY, flags, Mode::from(0o666))?);
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    match rename_fresh(folder, SLIP_UNDER_WAY, folder, name) {
        Ok(()) => Ok(true),
        Err(Errno::EXIST) => {
            rustix::fs::unlinkat(folder, SLIP_UNDER_WAY, AtFlags::empty())?;
            Ok(holds(folder, name, text)?)
        }
        Err(cause) => Err(cause.into()),
    }
}

/// True when the file of this name holds exactly this text.
fn holds(folder: BorrowedFd<'_>, name: &str, text: &str) -> Result<bool, Errno> {
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    let file = rustix::fs::openat(folder, name, flags, Mode::empty())?;
    let size = u64::try_from(rustix::fs::fstat(&file)?.st_size).unwrap_or(u64::MAX);
    // Sizes first: whatever lies there may be large.
    Ok(size == text.len() as u64 && read_exactly(&file, size)?.is_some_and(|bytes| bytes == text.as_bytes()))
}
