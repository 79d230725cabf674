//! Papers as they were issued, between the ledger that keeps them and the folder where they lie for people.

use crate::daemon::error::DaemonError;
use crate::daemon::page_file::{PageError, make, sync, write_page};
use crate::facts::{Digest, JobKey};
use crate::intake::BOARD;
use crate::ledger::{IssuedInfo, Ledger, NewIssue};
use crate::pages::{Issued, JobView, Paper, read_issued};
use std::fs;
use std::path::{Path, PathBuf};

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

/// What lies on the board of a job as it was issued, in the order of its versions: for a ledger that is made anew. What was
/// changed since is passed over.
pub(super) fn lying(watch_folder: &Path, key: &JobKey) -> Vec<NewIssue> {
    // Without a board nothing lies there; then papers are issued from the statements alone.
    let Ok(there) = fs::read_dir(folder_of(&watch_folder.join(BOARD), key)) else { return Vec::new() };
    let read = |entry: fs::DirEntry| {
        let bytes = fs::read(entry.path()).ok()?;
        let paper = read_issued(&bytes).filter(|paper| entry.file_name() == *paper.file())?;
        Some(to_keep(key, &paper, bytes))
    };
    let mut found: Vec<NewIssue> = there.filter_map(Result::ok).filter_map(read).collect();
    found.sort_by(|a, b| (a.info.version, &a.info.paper).cmp(&(b.info.version, &b.info.paper)));
    found
}

/// Writes the papers of a job that do not lie in this folder with the bytes they were issued with.
pub(super) fn lay_out(folder: &Path, view: &JobView, ledger: &Ledger) -> Result<(), PageError> {
    let lies = |paper: &&Issued| {
        fs::read(folder.join(paper.file())).is_ok_and(|bytes| Digest::of(&bytes) == paper.hash)
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
