//! One page on disk, so that a reader never sees half of it.

use crate::daemon::error::DaemonError;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, ErrorKind, Write as _};
use std::path::Path;

/// Why pages could not be written.
pub(super) enum PageError {
    Page(String, io::Error),
    Daemon(DaemonError),
}

impl<E: Into<DaemonError>> From<E> for PageError {
    fn from(error: E) -> Self {
        Self::Daemon(error.into())
    }
}

/// Temporary name, sync, rename: a reader sees the old page or the new one.
pub(super) fn write_page(folder: &Path, name: &str, text: impl AsRef<[u8]>) -> Result<(), PageError> {
    let path = folder.join(name);
    let part = folder.join(format!(".{name}.part"));
    let write = || -> io::Result<()> {
        // What lies under that name, a link to elsewhere among it, is none of ours.
        match fs::remove_file(&part) {
            Err(error) if error.kind() != ErrorKind::NotFound => return Err(error),
            Ok(()) | Err(_) => {}
        }
        let mut file = File::create_new(&part)?;
        file.write_all(text.as_ref())?;
        file.sync_all()?;
        fs::rename(&part, &path)
    };
    write().map_err(|error| PageError::Page(path.display().to_string(), error))
}

/// What a plain file of no more than so many bytes holds; links are not followed, and nothing waits for a pipe.
pub(super) fn plain_bytes(path: &Path, most: u64) -> Option<Vec<u8>> {
    let found = fs::symlink_metadata(path).ok()?;
    (found.is_file() && found.len() <= most).then(|| fs::read(path).ok()).flatten()
}

/// A folder for pages, and on the board the one it lies in. A link in its place is none of ours, as what is written and taken
/// away there would be elsewhere.
pub(super) fn make(folder: &Path) -> Result<(), PageError> {
    if let Some(all) = folder.parent() {
        make_in_its_place(all)?;
    }
    if fs::symlink_metadata(folder).is_ok_and(|found| found.is_symlink()) {
        remove(folder)?;
    }
    make_in_its_place(folder)
}

/// A folder in one that is there. Never more than one: where the watch folder goes away between two calls, another in its
/// place would be in the way of its return.
pub(super) fn make_in_its_place(folder: &Path) -> Result<(), PageError> {
    match fs::create_dir(folder) {
        Err(error) if !folder.is_dir() => Err(PageError::Page(folder.display().to_string(), error)),
        Ok(()) | Err(_) => Ok(()),
    }
}

/// A page that is no longer so.
pub(super) fn remove(page: &Path) -> Result<(), PageError> {
    match fs::remove_file(page) {
        Err(error) if error.kind() != ErrorKind::NotFound => {
            Err(PageError::Page(page.display().to_string(), error))
        }
        Ok(()) | Err(_) => Ok(()),
    }
}

/// Takes away what no longer belongs to a folder; nothing to do where there is none, or a link to another.
pub(super) fn keep_only(folder: &Path, names: &BTreeSet<String>) -> Result<(), PageError> {
    if fs::symlink_metadata(folder).is_ok_and(|found| found.is_symlink()) {
        return Ok(());
    }
    let there = match fs::read_dir(folder) {
        Ok(there) => there,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(PageError::Page(folder.display().to_string(), error)),
    };
    for entry in there.filter_map(Result::ok) {
        // Folders that other machines make here are none of ours.
        let is_folder = entry.file_type().is_ok_and(|found| found.is_dir());
        if !is_folder && !names.contains(entry.file_name().to_string_lossy().as_ref()) {
            remove(&entry.path())?;
        }
    }
    sync(folder)
}

/// So that the names outlast a power cut.
pub(super) fn sync(folder: &Path) -> Result<(), PageError> {
    let synced = File::open(folder).and_then(|folder| folder.sync_all());
    synced.map_err(|error| PageError::Page(folder.display().to_string(), error))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_folder_is_made_in_the_place_of_one_that_is_away() {
        let dir = tempfile::tempdir().expect("a folder");
        let board = dir.path().join("watch-folder/board");
        let orders = board.join("orders/main-24-17");
        assert!(make_in_its_place(&board).is_err() && make(&orders).is_err());
        assert!(!dir.path().join("watch-folder").exists());
        fs::create_dir(dir.path().join("watch-folder")).expect("a folder");
        assert!(make_in_its_place(&board).is_ok() && make(&orders).is_ok() && make(&orders).is_ok());
        assert!(orders.is_dir());
    }
}
