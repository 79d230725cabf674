//! A copy of the ledger while its writer works: one file, synced, gone through, and never in another's place.

use super::Ledger;
use super::LedgerError;
use super::Result;
use super::VerifyReport;
use super::error::failed;
use super::place;
use rusqlite::Connection;
use rusqlite::OpenFlags;
use rusqlite::backup::Backup;
use rusqlite::backup::StepResult;
use std::fs::File;
use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;

/// Pages copied between two words of progress: 4 MiB.
const PAGES: i32 = 1024;

impl Ledger {
    /// Copies the ledger, as it is at this moment, to a new file and goes through the copy. Until all of it is on
    /// the disk it has the name with `.part` behind it. `progress` is told what is done of what is to do, first of
    /// the copying and then of the going through.
    ///
    /// # Errors
    /// Something lies at `to` already or under the name with `.part`, the disk is full or failed, or the ledger
    /// cannot be read. Nothing is left behind but a file that was there before.
    pub fn back_up(&self, to: &Path, progress: &mut dyn FnMut(u64, u64)) -> Result<VerifyReport> {
        let part = with_ending(to, ".part");
        if to.exists() {
            return Err(LedgerError::Exists { path: to.into() });
        }
        if part.exists() {
            return Err(LedgerError::Exists { path: part });
        }
        place::make_file(&part)?;
        let copied = self.copy_into(&part, progress).and_then(|()| finish(&part, to));
        if let Err(error) = copied {
            // What is left of the copy is of no use; the first error is the one to tell.
            std::fs::remove_file(&part).unwrap_or_default();
            return Err(error);
        }
        Self::read_only(to)?.verify(progress)
    }

    fn copy_into(&self, part: &Path, progress: &mut dyn FnMut(u64, u64)) -> Result<()> {
        let doing = failed("copy the ledger");
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut copy = Connection::open_with_flags(part, flags).map_err(&doing)?;
        // One long read: without it every commit of the writer would begin the copy anew.
        let reading = self.conn.unchecked_transaction().map_err(&doing)?;
        reading.query_row("SELECT site FROM ledger", [], |_| Ok(())).map_err(&doing)?;
        let backup = Backup::new(&self.conn, &mut copy).map_err(&doing)?;
        loop {
            let step = backup.step(PAGES).map_err(&doing)?;
            let pages = backup.progress();
            let count = |n: i32| u64::try_from(n).unwrap_or(0);
            let all = count(pages.pagecount);
            progress(all.saturating_sub(count(pages.remaining)), all);
            match step {
                StepResult::Done => break,
                StepResult::More => {}
                StepResult::Busy | StepResult::Locked | _ => std::thread::sleep(Duration::from_millis(50)),
            }
        }
        drop(backup);
        reading.finish().map_err(&doing)?;
        // A copy without a log beside it can be kept and read anywhere.
        copy.pragma_update(None, "journal_mode", "DELETE").map_err(&doing)?;
        copy.close().map_err(|(_, error)| doing(error))
    }
}

/// Makes the copy durable, then gives it its name.
fn finish(part: &Path, to: &Path) -> Result<()> {
    let file = |doing: &'static str, path: &Path| {
        let path = path.to_owned();
        move |source| LedgerError::File { doing, path, source }
    };
    File::open(part).and_then(|copy| copy.sync_all()).map_err(file("sync", part))?;
    if to.exists() {
        return Err(LedgerError::Exists { path: to.into() });
    }
    std::fs::rename(part, to).map_err(file("give its name to", to))?;
    place::sync_folder(place::folder_of(to)).map_err(file("sync the folder of", to))
}

/// A path with something behind its name.
fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
