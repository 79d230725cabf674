//! Taking a paper: whole and on the disk before it has a name in `drop/`, and only then acknowledged.

use crate::facts::Digest;
use crate::intake::{DROP, MARKER, safe_name};
use rustix::fs::{CWD, RenameFlags, renameat_with};
use rustix::io::Errno;
use std::fs::{self, File};
use std::io::{self, Write as _};
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

/// The name of a paper in `drop/`: whose it is, what it was called, and what is in it. The same bytes of a device under the
/// same name have the same name there, so what is sent twice is one paper.
pub(super) fn name_in_drop(device: &str, name: &str, hash: &Digest) -> String {
    let name = safe_name(name);
    let (stem, ending) = name.rsplit_once('.').unwrap_or((&name, "json"));
    let stem: String = stem.chars().take(60).collect();
    safe_name(&format!("{device}-{stem}-{}.{ending}", hash.short()))
}

/// Puts a paper into `drop/`. One call at a time; the caller sees to it.
///
/// # Errors
/// Nothing was taken, and nothing of it is left.
pub(super) fn put(watch_folder: &Path, name: &str, bytes: &[u8]) -> Result<(), NotTaken> {
    let drop = watch_folder.join(DROP);
    if !drop.join(MARKER).exists() {
        return Err(NotTaken::Away);
    }
    let (part, whole) = (drop.join(UNDER_WAY), drop.join(name));
    let done = write(&part, &whole, &drop, bytes);
    if done.is_err() {
        // Mostly it is not there any more; the next paper writes over it anyway.
        fs::remove_file(&part).unwrap_or_default();
    }
    done.map_err(|error| match error.raw_os_error().map(Errno::from_raw_os_error) {
        Some(Errno::NOSPC | Errno::DQUOT) => NotTaken::Full,
        Some(_) | None => NotTaken::Failed(error),
    })
}

fn write(part: &Path, whole: &Path, drop: &Path, bytes: &[u8]) -> io::Result<()> {
    match fs::remove_file(part) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        Ok(()) | Err(_) => {}
    }
    let mut file = File::create_new(part)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    match renameat_with(CWD, part, CWD, whole, RenameFlags::NOREPLACE) {
        Ok(()) => {}
        // It lies there already: the same bytes, as its name says.
        Err(Errno::EXIST) => fs::remove_file(part)?,
        // A file system that does not know the flag.
        Err(Errno::INVAL | Errno::NOSYS) if !whole.exists() => fs::rename(part, whole)?,
        Err(Errno::INVAL | Errno::NOSYS) => fs::remove_file(part)?,
        Err(error) => return Err(error.into()),
    }
    File::open(drop)?.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_whose_and_what() {
        let hash = Digest::of(b"x");
        let name = |said: &str| name_in_drop("tablet-2", said, &hash);
        let short = hash.short();
        assert_eq!(name("pins.json"), format!("tablet-2-pins-{short}.json"));
        assert!(name(&"long".repeat(100)).len() <= 100);
        for odd in ["", ".", "..", "a/b.csv", "\u{202e}x.json", "a\nb"] {
            let name = name(odd);
            assert!(!name.contains('/') && !name.starts_with('.') && name.is_ascii(), "{odd:?}: {name}");
        }
    }
}
