//! Moving papers out of `drop/`: a rename inside the watch folder that never overwrites, the slip before its paper,
//! and one sync per touched folder at the end of the batch.
//!
//! The ledger has the bytes before anything here runs; what lies in `filed/` is a copy for people. If the power goes
//! between slip and paper, the paper lies in `drop/` still and the same slip is found again. If it goes before the
//! sync, a paper may lie in `drop/` again and is recognised by its hash.

use crate::facts::Digest;
use crate::intake::error::IntakeError;
use crate::intake::marker::{FILED, RETURNED};
use crate::intake::names;
use crate::intake::paper::{Candidate, Sight, folder_and_name};
use crate::intake::shelf::{Shelf, is_taken, source_folder, write_slip};
use rustix::fs::{AtFlags, FileType, Mode, OFlags};
use rustix::io::Errno;
use std::collections::BTreeMap;
use std::io;

/// Where a paper goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Destination {
    /// Accepted.
    Filed,
    /// Refused, with the text of its slip.
    Returned {
        /// The whole slip, as people read it.
        slip: String,
    },
}

/// The order to move one paper.
#[derive(Debug, Clone)]
pub struct Filing {
    /// The paper.
    pub candidate: Candidate,
    /// Accepted or refused.
    pub to: Destination,
    /// Where, relative to the watch folder; made by [`Folder::place_for`](crate::intake::Folder::place_for).
    pub place: String,
    /// The hash of the bytes that were taken in; `None` for what was never read.
    pub hash: Option<Digest>,
}

/// What became of a paper that was to be moved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Filed {
    /// It lies at this place now, relative to the watch folder: the one asked for, or the first free one numbered
    /// `-2`, `-3` and so on.
    At(String),
    /// Its sender took it back or replaced it after it was read. Nothing was moved; what lies there now, if
    /// anything, is a new drop.
    Overtaken,
}

/// At most so many numbers are tried for one place before the folder is called broken.
const NUMBERS: u32 = 10_000;

/// Moves these papers; the answers come in the same order.
pub(super) fn move_all(shelf: &mut Shelf<'_>, papers: &[Filing]) -> Vec<Result<Filed, IntakeError>> {
    let mut numbers = BTreeMap::new();
    let moved: Vec<_> = papers.iter().map(|filing| move_one(shelf, filing, &mut numbers)).collect();
    let unconfirmed = shelf.sync();
    if unconfirmed.is_empty() {
        return moved;
    }
    let confirm = |(filing, result): (&Filing, Result<Filed, IntakeError>)| {
        let Ok(Filed::At(place)) = &result else { return result };
        let from = source_folder(folder_and_name(&filing.candidate.path).0);
        let to = place.rsplit_once('/').map_or("", |(folder, _)| folder);
        match unconfirmed.iter().find(|(folder, _)| *folder == from || folder.as_os_str() == to) {
            Some((folder, cause)) => {
                Err(IntakeError::Sync { folder: folder.to_string_lossy().into(), source: (*cause).into() })
            }
            None => result,
        }
    };
    papers.iter().zip(moved).map(confirm).collect()
}

/// Moves one paper. `numbers` remembers, for places already found taken in this batch, which number comes next.
fn move_one(
    shelf: &mut Shelf<'_>,
    filing: &Filing,
    numbers: &mut BTreeMap<String, u32>,
) -> Result<Filed, IntakeError> {
    let Filing { candidate, to, place, hash } = filing;
    let (folder, name) = checked(place)?;
    let failed = |cause: Errno| IntakeError::Move {
        name: candidate.name.clone(),
        place: place.clone(),
        source: cause.into(),
    };
    if !lies_as_seen(shelf, candidate).map_err(failed)? {
        return Ok(Filed::Overtaken);
    }
    if hash.is_none() {
        write_out(shelf, candidate).map_err(failed)?;
    }
    shelf.prepare(folder).map_err(failed)?;
    let (from, old_name) = folder_and_name(&candidate.path);
    let first = numbers.get(place).copied().unwrap_or(1);
    for number in first..first.saturating_add(NUMBERS) {
        let new_name = if number == 1 { name.to_owned() } else { names::numbered(name, number) };
        let has_slip = match to {
            Destination::Filed => true,
            Destination::Returned { slip } => lay_slip(shelf, folder, &new_name, slip)
                .map_err(|source| IntakeError::Slip { place: place.clone(), source })?,
        };
        if !has_slip {
            continue;
        }
        match shelf.take_out(from, old_name, folder, &new_name) {
            Ok(()) => {
                if number > 1 {
                    numbers.insert(place.clone(), number.saturating_add(1));
                }
                return Ok(Filed::At(format!("{folder}/{new_name}")));
            }
            Err(Errno::EXIST) => {}
            Err(cause) => return Err(failed(cause)),
        }
    }
    Err(failed(Errno::EXIST))
}

/// Of a paper that was never read the ledger has no bytes, and its sender has mostly not synced it: it must outlive a
/// power cut by itself. What is no plain file, or cannot be opened, is moved as it is.
fn write_out(shelf: &mut Shelf<'_>, candidate: &Candidate) -> Result<(), Errno> {
    if candidate.sight.kind != FileType::RegularFile {
        return Ok(());
    }
    let (folder, name) = folder_and_name(&candidate.path);
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    match shelf.inside.folder(folder).and_then(|from| rustix::fs::openat(from, name, flags, Mode::empty())) {
        Ok(file) => rustix::fs::fsync(&file),
        Err(_) => Ok(()),
    }
}

/// Lays the slip for a paper that will have this name; false when the paper's or the slip's name is taken.
fn lay_slip(shelf: &Shelf<'_>, folder: &str, paper_name: &str, text: &str) -> io::Result<bool> {
    let target = shelf.target(folder)?;
    if is_taken(target, paper_name)? {
        return Ok(false);
    }
    write_slip(target, &format!("{paper_name}.slip.txt"), text)
}

/// True while the paper is the one that was read. Without this look, what a sender renames over it between reading
/// and moving would be filed unread.
fn lies_as_seen(shelf: &mut Shelf<'_>, candidate: &Candidate) -> Result<bool, Errno> {
    let (folder, name) = folder_and_name(&candidate.path);
    let stat = shelf
        .inside
        .folder(folder)
        .and_then(|from| rustix::fs::statat(from, name, AtFlags::SYMLINK_NOFOLLOW));
    match stat {
        Ok(stat) => Ok(Sight::of(&stat, false).is_same_paper(&candidate.sight)),
        Err(Errno::NOENT) => Ok(false),
        Err(cause) => Err(cause),
    }
}

/// A place as its folder and name, if it is a plain path under `filed/` or `returned/`.
fn checked(place: &str) -> Result<(&str, &str), IntakeError> {
    let mut parts = place.split('/');
    let top = parts.next();
    let plain = (top == Some(FILED) || top == Some(RETURNED)) && parts.all(names::is_safe);
    match place.rsplit_once('/') {
        Some(folder_and_name) if plain && place.len() < 512 => Ok(folder_and_name),
        Some(_) | None => Err(IntakeError::Place { place: place.to_owned() }),
    }
}
