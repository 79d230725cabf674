//! The layout of a watch folder, and the marker files that prove the right disk is mounted there.
//!
//! A share that drops leaves an empty mount point behind, which looks like "all papers deleted". So both the folder
//! and its `drop/` carry a marker, and without it nothing is believed.

use crate::intake::error::IntakeError;
use rustix::fd::{AsFd, OwnedFd};
use rustix::fs::{AtFlags, CWD, Mode, OFlags};
use rustix::io::Errno;
use std::path::Path;
use std::{fs, io};

/// The marker file's name.
pub const MARKER: &str = ".benchdrop";
/// Where people put papers.
pub const DROP: &str = "drop";
/// Where accepted papers go.
pub const FILED: &str = "filed";
/// Where refused papers go, each with its slip.
pub const RETURNED: &str = "returned";
/// Where the pages are written.
pub const BOARD: &str = "board";

/// How every folder below the watch folder is opened: never through a link.
pub(super) const FOLDER: OFlags =
    OFlags::RDONLY.union(OFlags::DIRECTORY).union(OFlags::NOFOLLOW).union(OFlags::CLOEXEC);

/// File systems that keep their files elsewhere: NFS, SMB2, CIFS, FUSE, 9p.
const SHARES: [u64; 5] = [0x6969, 0xfe53_4d42, 0xff53_4d42, 0x6573_5546, 0x0102_1997];

/// A watch folder that is there, by handles: what is reached through them is on the disk whose marker was seen,
/// even if it is unmounted meanwhile.
pub(super) struct Present {
    pub(super) root: OwnedFd,
    pub(super) drop: OwnedFd,
    /// Not this machine's own disk: no notifications, times come late.
    pub(super) share: bool,
}

/// Opens the folder and its `drop/` and checks both markers.
pub(super) fn enter(root: &Path) -> Result<Present, IntakeError> {
    let away = |folder: &Path, cause: Errno| IntakeError::Away {
        folder: folder.to_owned(),
        source: Some(io::Error::from(cause)),
    };
    let plain = OFlags::RDONLY | OFlags::DIRECTORY | OFlags::CLOEXEC;
    let handle = rustix::fs::openat(CWD, root, plain, Mode::empty()).map_err(|cause| away(root, cause))?;
    require_marker(&handle, root)?;
    let drop_path = root.join(DROP);
    let drop =
        rustix::fs::openat(&handle, DROP, FOLDER, Mode::empty()).map_err(|cause| away(&drop_path, cause))?;
    require_marker(&drop, &drop_path)?;
    let kind = rustix::fs::fstatfs(&drop).map_err(|cause| away(&drop_path, cause))?.f_type;
    // The kernel's numbers are 32 bits wide; some machines hand them over sign-extended.
    let share = SHARES.iter().any(|known| u64::try_from(i128::from(kind) & 0xffff_ffff) == Ok(*known));
    Ok(Present { root: handle, drop, share })
}

fn require_marker(handle: impl AsFd, folder: &Path) -> Result<(), IntakeError> {
    match rustix::fs::statat(handle, MARKER, AtFlags::SYMLINK_NOFOLLOW) {
        Ok(_) => Ok(()),
        Err(Errno::NOENT) => Err(IntakeError::Away { folder: folder.to_owned(), source: None }),
        Err(cause) => Err(IntakeError::Away { folder: folder.to_owned(), source: Some(cause.into()) }),
    }
}

/// Makes the layout of a watch folder, markers last. What is there already stays as it is. Only for setting up:
/// done on the empty mount point of an absent share it would mark the wrong disk.
///
/// # Errors
/// `LayOut` names what could not be made.
pub fn lay_out(root: &Path) -> Result<(), IntakeError> {
    for name in [DROP, FILED, RETURNED, BOARD] {
        let path = root.join(name);
        fs::create_dir_all(&path).map_err(|source| IntakeError::LayOut { path, source })?;
    }
    for folder in [root.join(DROP), root.to_owned()] {
        let path = folder.join(MARKER);
        fs::OpenOptions::new()
            .append(true)
            .create(true)
            .open(&path)
            .and_then(|marker| marker.sync_all())
            .map_err(|source| IntakeError::LayOut { path, source })?;
    }
    Ok(())
}
