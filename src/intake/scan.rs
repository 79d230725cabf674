//! One look at `drop/` and the folders in it: read the names, ask each what it is, open nothing.
//!
//! The listing is complete or it is an error; only a folder inside `drop/` may be missing from it, and says so.

use crate::intake::marker::FOLDER;
use crate::intake::marker::MARKER;
use crate::intake::names;
use crate::intake::paper::Sight;
use crate::intake::paper::folder_and_name;
use rustix::fd::{AsFd, BorrowedFd};
use rustix::fs::{AtFlags, Dir, FileType, Mode};
use rustix::io::Errno;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::{OsStr, OsString};
use std::ops::Bound;
use std::os::unix::ffi::OsStrExt as _;

/// A paper as this look found it.
pub(super) struct Seen {
    /// Below `drop/`: a name, or a folder and a name.
    pub(super) path: OsString,
    pub(super) sight: Sight,
    /// Empty, with a download of the same name under way beside it: a browser's placeholder.
    pub(super) awaits_download: bool,
}

/// Device and inode of a folder: another value under the same name is another folder.
pub(super) type FolderId = (u64, u64);

/// Everything one look found.
#[derive(Default)]
pub(super) struct Listing {
    pub(super) papers: Vec<Seen>,
    /// The folders in `drop/`, and `drop/` itself under the empty name.
    pub(super) folders: BTreeMap<OsString, FolderId>,
    /// Papers and folders that could not be looked at, with the cause: nothing is concluded about them.
    pub(super) unknown: BTreeMap<OsString, Errno>,
    /// Folders inside folders; nobody looks into those.
    pub(super) too_deep: Vec<OsString>,
    /// Names that are never input.
    pub(super) passed_over: BTreeSet<OsString>,
}

/// Lists `drop/`.
pub(super) fn list(drop: BorrowedFd<'_>, local: bool) -> Result<Listing, Errno> {
    let mut listing = Listing::default();
    let inner = list_one(drop, None, local, &mut listing)?;
    for folder in inner {
        let listed = rustix::fs::openat(drop, &folder, FOLDER, Mode::empty())
            .and_then(|handle| list_one(handle.as_fd(), Some(&folder), local, &mut listing));
        match listed {
            Ok(deeper) => listing.too_deep.extend(deeper.iter().map(|name| joined(Some(&folder), name))),
            // Removed between the two calls.
            Err(Errno::NOENT) => {}
            Err(cause) => {
                listing.unknown.insert(folder, cause);
            }
        }
    }
    Ok(listing)
}

/// Lists one folder into `listing`; returns the names of the folders in it.
fn list_one(
    handle: BorrowedFd<'_>,
    folder: Option<&OsStr>,
    local: bool,
    listing: &mut Listing,
) -> Result<Vec<OsString>, Errno> {
    let stat = rustix::fs::fstat(handle)?;
    listing.folders.insert(folder.unwrap_or_default().to_owned(), (stat.st_dev, stat.st_ino));
    let mut inner = Vec::new();
    let mut partials = BTreeSet::new();
    let mut empties = Vec::new();
    for entry in Dir::read_from(handle)? {
        let entry = entry?;
        let name = OsStr::from_bytes(entry.file_name().to_bytes());
        if name == "." || name == ".." || (name == MARKER && folder.is_none()) {
            continue;
        }
        if names::why_never_input(name).is_some() {
            if names::is_partial(name) {
                partials.insert(name.to_owned());
            }
            listing.passed_over.insert(joined(folder, name));
            continue;
        }
        match rustix::fs::statat(handle, entry.file_name(), AtFlags::SYMLINK_NOFOLLOW) {
            Ok(stat) => {
                let sight = Sight::of(&stat, local);
                if sight.kind == FileType::Directory {
                    inner.push(name.to_owned());
                } else {
                    if sight.size == 0 {
                        empties.push(listing.papers.len());
                    }
                    listing.papers.push(Seen { path: joined(folder, name), sight, awaits_download: false });
                }
            }
            // Taken away between the two calls.
            Err(Errno::NOENT) => {}
            Err(cause) => {
                listing.unknown.insert(joined(folder, name), cause);
            }
        }
    }
    for at in empties {
        if let Some(seen) = listing.papers.get_mut(at) {
            let (_, name) = folder_and_name(&seen.path);
            seen.awaits_download = has_download(name, &partials);
        }
    }
    Ok(inner)
}

/// `a.json` is being downloaded while `a.json.part` or `a.x7Fq.json.part` lies beside it.
fn has_download(name: &OsStr, partials: &BTreeSet<OsString>) -> bool {
    let mut start = names::stem(name).to_owned();
    start.push(b'.');
    let from = Bound::Included(OsStr::from_bytes(&start));
    partials
        .range::<OsStr, _>((from, Bound::Unbounded))
        .next()
        .is_some_and(|partial| partial.as_bytes().starts_with(&start))
}

fn joined(folder: Option<&OsStr>, name: &OsStr) -> OsString {
    let mut path = OsString::with_capacity(folder.map_or(0, |folder| folder.len() + 1) + name.len());
    if let Some(folder) = folder {
        path.push(folder);
        path.push("/");
    }
    path.push(name);
    path
}
