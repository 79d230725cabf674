//! Papers as they were issued, between the ledger that keeps them and the folder where they lie for people.

use crate::daemon::error::DaemonError;
use crate::daemon::page_file::{PageError, make, plain_bytes, sync, write_page};
use crate::facts::{Digest, JobKey};
use crate::intake::BOARD;
use crate::ledger::{IssuedInfo, Ledger, NewIssue};
use crate::pages::{Issued, JobView, Paper, read_issued};
use std::fs;
use std::path::{Path, PathBuf};

/// Far more than a paper is, in bytes.
const MOST: u64 = 16 << 20;

/// What was issued of a job; a kind of paper that this program does not know stays in the ledger and is passed over.
pub(super) fn issued_of(key: &JobKey, ledger: &Ledger) -> Result<Vec<Issued>, DaemonError> {
    let known = |info: IssuedInfo| {
        let IssuedInfo { paper, version, at, rule_set, signature, facts, content, hash, .. } = info;
        let paper = Paper::of_word(&paper)?;
        Some(Issued { paper, version, at, rule_set, signature, facts, content, hash })
    };
    Ok(ledger.issued_of(&key.to_string())?.into_iter().filter_map(known).collect())
}

/// A paper as the ledger keeps it.
pub(super) fn to_keep(key: &JobKey, paper: &Issued, bytes: Vec<u8>) -> NewIssue {
    let Issued { paper, version, at, rule_set, signature, facts, content, hash } = *paper;
    let (job, paper) = (key.to_string(), paper.word().to_owned());
    NewIssue {
        info: IssuedInfo { job, paper, version, at, rule_set, signature, facts, content, hash },
        bytes,
    }
}

/// The folder of a job's papers, in the board's folder.
pub(super) fn folder_of(board: &Path, key: &JobKey) -> PathBuf {
    board.join("issued").join(key.slug())
}

/// What lies on the board of a job as it was issued, in the order of its versions from the one after `last`: for a ledger that
/// is made anew. What was changed since is passed over, and without its record a version and all after it: they are issued
/// again from the statements.
pub(super) fn lying(watch_folder: &Path, key: &JobKey, last: u32) -> Vec<NewIssue> {
    // Without a board nothing lies there; then all is issued from the statements.
    let Ok(there) = fs::read_dir(folder_of(&watch_folder.join(BOARD), key)) else { return Vec::new() };
    let read = |entry: fs::DirEntry| {
        let bytes = plain_bytes(&entry.path(), MOST)?;
        let paper = read_issued(&bytes).filter(|paper| entry.file_name() == *paper.file())?;
        Some((paper, bytes))
    };
    let found: Vec<(Issued, Vec<u8>)> = there.filter_map(Result::ok).filter_map(read).collect();
    let is_whole = |version: &u32| {
        found.iter().any(|(paper, _)| (paper.paper, paper.version) == (Paper::BuildRecord, *version))
    };
    let end = (last.saturating_add(1)..).take_while(is_whole).last().unwrap_or(last);
    let mut kept: Vec<NewIssue> = found
        .into_iter()
        .filter(|(paper, _)| last < paper.version && paper.version <= end)
        .map(|(paper, bytes)| to_keep(key, &paper, bytes))
        .collect();
    kept.sort_by(|a, b| (a.info.version, &a.info.paper).cmp(&(b.info.version, &b.info.paper)));
    kept
}

/// Writes the papers of a job that do not lie in this folder with the bytes they were issued with.
pub(super) fn lay_out(folder: &Path, view: &JobView, ledger: &Ledger) -> Result<(), PageError> {
    let lies = |paper: &&Issued| {
        plain_bytes(&folder.join(paper.file()), MOST).is_some_and(|bytes| Digest::of(&bytes) == paper.hash)
    };
    let missing: Vec<&Issued> = view.issued.iter().filter(|paper| !lies(paper)).collect();
    if missing.is_empty() {
        return Ok(());
    }
    make(folder)?;
    for paper in missing {
        let kept = ledger.issued_bytes(&view.job.key.to_string(), paper.version, paper.paper.word())?;
        if let Some(bytes) = kept {
            write_page(folder, &paper.file(), &bytes)?;
        }
    }
    sync(folder)
}
