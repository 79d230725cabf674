//! Pictures on the board: each in a file of its own, with the bytes that were dropped, named by their hash.

use crate::daemon::page_file::{PageError, plain_bytes, write_page};
use crate::facts::{Digest, picture_in};
use crate::ledger::Ledger;
use crate::pages::JobView;
use crate::shop::PictureNow;
use std::fs;
use std::path::Path;

/// The folder of the board they lie in.
const PICTURES: &str = "pictures";

/// Writes the pictures of a job that are not there, or not as they were dropped.
pub(super) fn write_pictures(board: &Path, view: &JobView, ledger: &Ledger) -> Result<(), PageError> {
    let folder = board.join(PICTURES);
    for now in &view.job.pictures {
        let name = now.picture.file();
        if is_there(&folder.join(&name), now) {
            continue;
        }
        let Some(drop) = ledger.bytes_of(&now.drop)? else { continue };
        let Some(bytes) = picture_in(&drop, &now.picture.hash) else { continue };
        let made = fs::create_dir_all(&folder);
        made.map_err(|error| PageError::Page(folder.display().to_string(), error))?;
        write_page(&folder, &name, &bytes)?;
    }
    Ok(())
}

/// A plain file with its bytes; a link that somebody put there is not followed.
fn is_there(path: &Path, now: &PictureNow) -> bool {
    let most = now.picture.bytes as u64;
    plain_bytes(path, most).is_some_and(|bytes| Digest::of(&bytes) == now.picture.hash)
}
