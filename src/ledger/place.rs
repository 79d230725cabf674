//! Where a ledger may lie, its file, and the lock of its one writer.

use super::LedgerError;
use super::Result;
use std::fs::File;
use std::fs::OpenOptions;
use std::fs::TryLockError;
use std::io;
use std::path::Path;
use std::path::PathBuf;

/// Refuses file systems on which SQLite's log, locks or syncs cannot be relied on.
pub(super) fn refuse_share(path: &Path) -> Result<()> {
    let place = if path.exists() { path } else { folder_of(path) };
    match why_unsafe(place) {
        Ok(None) => Ok(()),
        Ok(Some(kind)) => Err(LedgerError::Share { path: place.into(), kind }),
        Err(source) => {
            Err(LedgerError::File { doing: "look at the place of the ledger", path: place.into(), source })
        }
    }
}

#[cfg(target_os = "linux")]
fn why_unsafe(place: &Path) -> io::Result<Option<&'static str>> {
    // The field is signed on some machines; the magic numbers are its low 32 bits.
    Ok(share_kind(rustix::fs::statfs(place)?.f_type & 0xffff_ffff))
}

#[cfg(not(target_os = "linux"))]
fn why_unsafe(_place: &Path) -> io::Result<Option<&'static str>> {
    Ok(None)
}

/// Names the unsafe file system with this magic number (Linux, statfs(2)).
#[cfg(target_os = "linux")]
fn share_kind(magic: rustix::fs::FsWord) -> Option<&'static str> {
    match magic {
        0x6969 => Some("a network share (NFS)"),
        0x517B | 0xFE53_4D42 | 0xFF53_4D42 => Some("a network share (SMB)"),
        0x00C3_6400 => Some("a network share (Ceph)"),
        0x0102_1997 => Some("a share of the host machine (9p)"),
        0x6573_5546 => Some("a FUSE file system"),
        _ => None,
    }
}

/// Takes the writer's lock, in a file beside the ledger: locking the ledger file itself would disturb the
/// locks that SQLite holds on it.
pub(super) fn lock(path: &Path) -> Result<File> {
    let mut name = path.as_os_str().to_owned();
    name.push(".lock");
    let path = PathBuf::from(name);
    let file = OpenOptions::new()
        .create(true)
        .append(true)
        .open(&path)
        .map_err(|source| LedgerError::File { doing: "open the lock file", path: path.clone(), source })?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(LedgerError::InUse { path }),
        Err(TryLockError::Error(source)) => Err(LedgerError::File { doing: "lock", path, source }),
    }
}

/// Makes an empty file that only the owner can read, if there is none, and syncs its folder. SQLite gives
/// its log the same rights.
pub(super) fn make_file(path: &Path) -> Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let made = match options.open(path) {
        Ok(_) => sync_folder(folder_of(path)),
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        Err(error) => Err(error),
    };
    made.map_err(|source| LedgerError::File { doing: "make the ledger file", path: path.into(), source })
}

#[cfg(unix)]
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
pub(super) fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[test]
    fn shares_are_named_and_disks_are_not() {
        assert_eq!(share_kind(0x6969), Some("a network share (NFS)"));
        assert_eq!(share_kind(0xFE53_4D42), Some("a network share (SMB)"));
        assert_eq!(share_kind(0x6573_5546), Some("a FUSE file system"));
        assert_eq!(share_kind(0xEF53), None, "ext4");
        assert_eq!(share_kind(0x9123_683E), None, "btrfs");
    }

    #[test]
    fn a_bare_name_lies_in_the_working_folder() {
        assert_eq!(folder_of(Path::new("ledger.sqlite")), Path::new("."));
        assert_eq!(folder_of(Path::new("/a/ledger.sqlite")), Path::new("/a"));
    }
}
