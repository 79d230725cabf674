//! One page on disk, so that a reader never sees half of it.

use crate::daemon::error::DaemonError;
use std::fs::{self, File};
use std::io::{self, Write as _};
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
pub(super) fn write_page(folder: &Path, name: &str, text: &str) -> Result<(), PageError> {
    let path = folder.join(name);
    let part = folder.join(format!(".{name}.part"));
    let write = || -> io::Result<()> {
        let mut file = File::create(&part)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(&part, &path)
    };
    write().map_err(|error| PageError::Page(path.display().to_string(), error))
}
