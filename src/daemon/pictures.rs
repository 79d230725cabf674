//! Pictures on the board: each in a file of its own below its job, with the bytes that were dropped, named by their hash.

use crate::daemon::page_file::{PageError, keep_only, make, plain_bytes, write_page};
use crate::facts::{Digest, picture_in};
use crate::ledger::Ledger;
use crate::pages::JobView;
use crate::shop::PictureNow;
use std::collections::BTreeSet;
use std::path::Path;

/// The folder of the board they lie in, a folder for each job.
const PICTURES: &str = "pictures";

/// Writes the pictures of a job that are not there, or not as they were dropped. One of a statement that was withdrawn does
/// not stay on the board.
pub(super) fn write_pictures(board: &Path, view: &JobView, ledger: &Ledger) -> Result<(), PageError> {
    let folder = board.join(PICTURES).join(view.job.key.slug());
    if !view.job.pictures.is_empty() {
        make(&folder)?;
    }
    let mut names = BTreeSet::new();
    for now in &view.job.pictures {
        let name = now.picture.file();
        if !is_there(&folder.join(&name), now) {
            let Some(drop) = ledger.bytes_of(&now.drop)? else { continue };
            let Some(bytes) = picture_in(&drop, &now.picture.hash) else { continue };
            write_page(&folder, &name, &bytes)?;
        }
        names.insert(name);
    }
    keep_only(&folder, &names)
}

/// A plain file with its bytes; a link that somebody put there is not followed.
fn is_there(path: &Path, now: &PictureNow) -> bool {
    let most = now.picture.bytes as u64;
    plain_bytes(path, most).is_some_and(|bytes| Digest::of(&bytes) == now.picture.hash)
}
