//! A look at a watch folder from outside, for whoever asks how things are. Takes no lock and changes nothing.

use crate::intake::error::IntakeError;
use crate::intake::marker;
use crate::intake::scan;
use rustix::fd::AsFd as _;
use std::path::Path;

/// How many papers lie in `drop/`, whatever their state.
///
/// # Errors
/// `Away` when the folder, its `drop/` or a marker is missing, or it cannot be listed.
pub fn papers_in_drop(root: &Path) -> Result<usize, IntakeError> {
    let present = marker::enter(root)?;
    let listed = scan::list(present.drop.as_fd(), !present.share);
    let away = |cause: rustix::io::Errno| IntakeError::Away {
        folder: root.join(marker::DROP),
        source: Some(cause.into()),
    };
    Ok(listed.map_err(away)?.papers.len())
}
