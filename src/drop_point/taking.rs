//! Taking a paper: whole and on the disk before it has a name in `drop/`, and only then acknowledged.

use crate::facts::Digest;
use crate::intake::{DROP, MARKER, rename_fresh, safe_name};
use rustix::fs::{AtFlags, CWD, Mode, OFlags, fsync, openat, statat, unlinkat};
use rustix::io::Errno;
use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::os::fd::{AsFd as _, BorrowedFd};
use std::path::Path;

/// A paper under way. Always the same hidden name, so that a stop leaves at most one behind, and that is never input.
const UNDER_WAY: &str = ".drop-point.part";

/// Why a paper was not taken.
#[derive(Debug)]
pub(super) enum NotTaken {
    /// The folder is not there, or another lies in its place.
    Away,
    /// The disk is full.
    Full,
    /// Something else failed.
    Failed(io::Error),
}

/// How a paper came to lie in `drop/`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Taken {
    /// Just now.
    Now,
    /// It lay there already, from an earlier try.
    Before,
}

/// The longest name that is nowhere cut, in bytes; see [`safe_name`].
const LONGEST: usize = 80;

/// The name of a paper in `drop/`: whose it is, what it was called, and what is in it. The same bytes of a device under the
/// same name have the same name there, so what is sent twice is one paper. `digits` are those of its hash; they stay whole.
pub(super) fn name_in_drop(device: &str, name: &str, digits: &str) -> String {
    let name = safe_name(name);
    let (stem, ending) = match name.rsplit_once('.') {
        Some((stem, ending)) if ending.len() <= 10 => (stem, ending),
        Some(_) | None => (name.as_str(), "json"),
    };
    let left = LONGEST.saturating_sub(device.len() + digits.len() + ending.len() + "--.".len());
    let stem: String = stem.chars().take(left).collect();
    format!("{device}-{stem}-{digits}.{ending}")
}

/// Puts a paper into `drop/`; gives its name there. One call at a time; the caller sees to it.
///
/// # Errors
/// Nothing was taken, and nothing of it is left.
pub(super) fn put(
    watch_folder: &Path,
    device: &str,
    name: &str,
    bytes: &[u8],
) -> Result<(Taken, String), NotTaken> {
    let drop = openat(CWD, watch_folder.join(DROP), READ | OFlags::DIRECTORY, Mode::empty());
    let drop = drop.map_err(|_| NotTaken::Away)?;
    if statat(&drop, MARKER, AtFlags::SYMLINK_NOFOLLOW).is_err() {
        return Err(NotTaken::Away);
    }
    let hash = Digest::of(bytes);
    let done = write(drop.as_fd(), bytes).and_then(|()| {
        for digits in [hash.short(), longer(&hash)] {
            let own = name_in_drop(device, name, &digits);
            if let Some(taken) = named(drop.as_fd(), &own, bytes)? {
                synced(drop.as_fd())?;
                return Ok((taken, own));
            }
        }
        Err(io::Error::other("other papers lie under its name"))
    });
    if !matches!(done, Ok((Taken::Now, _))) {
        // Mostly it is not there any more; the next paper takes its place anyway.
        unlinkat(&drop, UNDER_WAY, AtFlags::empty()).unwrap_or_default();
    }
    done.map_err(|error| match error.raw_os_error().map(Errno::from_raw_os_error) {
        Some(Errno::NOSPC | Errno::DQUOT) => NotTaken::Full,
        Some(_) | None => NotTaken::Failed(error),
    })
}

/// Takes away what a stop left under way. Where the folder is away, the next paper does it.
pub(super) fn sweep(watch_folder: &Path) {
    fs::remove_file(watch_folder.join(DROP).join(UNDER_WAY)).unwrap_or_default();
}

/// More digits of a hash than people are shown, for where those are taken.
fn longer(hash: &Digest) -> String {
    hash.hex().chars().take(24).collect()
}

const READ: OFlags = OFlags::RDONLY.union(OFlags::NOFOLLOW).union(OFlags::CLOEXEC).union(OFlags::NONBLOCK);

/// Writes a paper out under the name of what is under way.
fn write(drop: BorrowedFd<'_>, bytes: &[u8]) -> io::Result<()> {
    match unlinkat(drop, UNDER_WAY, AtFlags::empty()) {
        Err(error) if error != Errno::NOENT => return Err(error.into()),
        Ok(()) | Err(_) => {}
    }
    let new = OFlags::WRONLY | OFlags::CREATE | OFlags::EXCL | OFlags::NOFOLLOW | OFlags::CLOEXEC;
    let mut file = File::from(openat(drop, UNDER_WAY, new, Mode::from(0o666))?);
    file.write_all(bytes)?;
    file.sync_all()
}

/// Gives what is under way its name; `None` where another paper has it.
fn named(drop: BorrowedFd<'_>, name: &str, bytes: &[u8]) -> io::Result<Option<Taken>> {
    match rename_fresh(drop, UNDER_WAY, drop, name) {
        Ok(()) => Ok(Some(Taken::Now)),
        Err(Errno::EXIST) => Ok(holds(drop, name, bytes)?.then_some(Taken::Before)),
        Err(error) => Err(error.into()),
    }
}

/// Whether these bytes lie there under this name, whole. What is taken in meanwhile is not there any more, and is not here.
fn holds(drop: BorrowedFd<'_>, name: &str, bytes: &[u8]) -> io::Result<bool> {
    let Ok(file) = openat(drop, name, READ, Mode::empty()) else { return Ok(false) };
    let file = File::from(file);
    if !file.metadata()?.is_file() {
        return Ok(false);
    }
    let mut there = Vec::new();
    file.take(bytes.len() as u64 + 1).read_to_end(&mut there)?;
    Ok(there == bytes)
}

/// The name must outlast a power cut too; some shares cannot be asked for that.
fn synced(drop: BorrowedFd<'_>) -> io::Result<()> {
    match fsync(drop) {
        Ok(()) | Err(Errno::INVAL | Errno::OPNOTSUPP) => Ok(()),
        Err(error) => Err(error.into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_whose_and_what() {
        let name = |said: &str| name_in_drop("tablet-2", said, "0123456789");
        assert_eq!(name("pins.json"), "tablet-2-pins-0123456789.json");
        let long = name(&format!("{}.json", "long".repeat(100)));
        assert!(long.len() == LONGEST && long.ends_with("-0123456789.json"), "{long}");
        let owner = name_in_drop(&"d".repeat(30), &long, &longer(&Digest::of(b"x")));
        assert!(owner.len() == LONGEST && owner.ends_with(".json"), "{owner}");
        for odd in ["", ".", "..", "a/b.csv", "\u{202e}x.json", "a\nb"] {
            let name = name(odd);
            assert!(!name.contains('/') && !name.starts_with('.') && name.is_ascii(), "{odd:?}: {name}");
        }
    }

    /// What lies under the name already is looked at: only the same bytes are the same paper.
    #[test]
    fn what_lies_under_the_name_is_no_reason_to_say_taken() {
        let shop = tempfile::tempdir().unwrap();
        let drop = shop.path().join(DROP);
        let put = |bytes: &[u8]| put(shop.path(), "tablet", "a.json", bytes);
        assert!(matches!(put(b"x"), Err(NotTaken::Away)), "no folder");
        fs::create_dir(&drop).unwrap();
        assert!(matches!(put(b"x"), Err(NotTaken::Away)), "no marker: what a share was mounted on");
        fs::write(drop.join(MARKER), "").unwrap();
        let hash = Digest::of(b"x");
        let short = name_in_drop("tablet", "a.json", &hash.short());
        let full = name_in_drop("tablet", "a.json", &longer(&hash));
        assert_eq!(put(b"x").unwrap(), (Taken::Now, short.clone()));
        assert_eq!(put(b"x").unwrap(), (Taken::Before, short.clone()));
        fs::write(drop.join(&short), "half").unwrap();
        assert_eq!(put(b"x").unwrap(), (Taken::Now, full.clone()));
        assert_eq!(fs::read(drop.join(&full)).unwrap(), b"x");
        fs::remove_file(drop.join(&full)).unwrap();
        std::os::unix::fs::symlink("nowhere", drop.join(&full)).unwrap();
        assert!(matches!(put(b"x"), Err(NotTaken::Failed(_))));
        assert_eq!(fs::read_dir(&drop).unwrap().count(), 3, "nothing is left of it");
        // A link in the place of what is under way is not followed.
        std::os::unix::fs::symlink(shop.path().join("elsewhere"), drop.join(UNDER_WAY)).unwrap();
        assert_eq!(put(b"y").unwrap().0, Taken::Now);
        assert!(!shop.path().join("elsewhere").exists());
    }
}
