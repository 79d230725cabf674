//! One process per watch folder: a lock file in the folder itself, so that two machines on one share meet too.

use crate::intake::error::IntakeError;
use crate::intake::names::shown_name;
use rustix::fd::AsFd;
use rustix::fs::{AtFlags, Mode, OFlags};
use std::fs::{File, TryLockError};
use std::io;
use std::io::{Read as _, Write as _};
use std::path::Path;

const LOCK: &str = ".benchdrop.lock";

/// Held as long as the folder is open; the system lets go of it when the process ends, however it ends.
pub(super) struct Lock {
    _held: File,
    id: (u64, u64),
}

impl Lock {
    /// Takes the lock, or says who has it.
    pub(super) fn take(handle: impl AsFd, root: &Path) -> Result<Self, IntakeError> {
        let failed = |source: io::Error| IntakeError::Lock { path: root.join(LOCK), source };
        let flags = OFlags::RDWR | OFlags::CREATE | OFlags::NOFOLLOW | OFlags::CLOEXEC;
        let opened = rustix::fs::openat(handle, LOCK, flags, Mode::from(0o644));
        let mut file = File::from(opened.map_err(|cause| failed(cause.into()))?);
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(IntakeError::Taken { folder: root.to_owned(), holder: holder(&file) });
            }
            Err(TryLockError::Error(source)) => return Err(failed(source)),
        }
        let stat = rustix::fs::fstat(&file).map_err(|cause| failed(cause.into()))?;
        // For people who wonder who holds it. The lock does not need it, so a full disk must not refuse the start.
        file.set_len(0).and_then(|()| writeln!(file, "process {}", std::process::id())).unwrap_or_default();
        Ok(Self { _held: file, id: (stat.st_dev, stat.st_ino) })
    }

    /// True while the folder's lock file is the one we hold: a disk that went and came back, or a person who
    /// tidied up, makes it another.
    pub(super) fn is_in(&self, handle: impl AsFd) -> bool {
        rustix::fs::statat(handle, LOCK, AtFlags::SYMLINK_NOFOLLOW)
            .is_ok_and(|stat| (stat.st_dev, stat.st_ino) == self.id)
    }
}

fn holder(file: &File) -> String {
    let mut text = String::new();
    // An unreadable note changes nothing: somebody holds the lock.
    match file.take(64).read_to_string(&mut text) {
        Ok(_) if !text.trim().is_empty() => shown_name(text.trim().as_ref()),
        Ok(_) | Err(_) => "unknown".to_owned(),
    }
}
