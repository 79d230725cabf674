//! People at their devices: papers dropped in every way there is, some of them twice.
#![allow(unreachable_pub, reason = "the test file uses it")]

use crate::process::Chance;
use crate::script::Paper;
use benchdrop::facts::Digest;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread::sleep;
use std::time::Duration;

/// Papers that have been handed over whole, by digest.
#[derive(Default)]
pub struct Handed {
    pub whole: Mutex<BTreeSet<Digest>>,
    /// How often one was dropped a second time.
    pub again: AtomicU64,
}

/// One person at a device: drops papers in every way there is, and drops some twice. A folder that is away is tried
/// again, as people do.
pub fn drop_all(
    folder: &Path,
    papers: &[Paper],
    mut chance: Chance,
    pause: u64,
    handed: &Handed,
    over: &AtomicBool,
) {
    for paper in papers {
        if over.load(Ordering::Acquire) {
            return;
        }
        while hand_over(folder, paper, &mut chance).is_err() {
            sleep(Duration::from_millis(100));
        }
        // Of one over the size limit the ledger has name, size and reason.
        if paper.bytes.len() <= 1024 * 1024 {
            handed.whole.lock().unwrap().insert(Digest::of(&paper.bytes));
        }
        if chance.between(0, 8) == 0 {
            let name = format!("copy of {}", paper.name);
            let again = Paper { name, bytes: paper.bytes.clone() };
            if hand_over(folder, &again, &mut chance).is_ok() {
                handed.again.fetch_add(1, Ordering::AcqRel);
            }
        }
        sleep(Duration::from_millis(chance.between(pause / 4, pause)));
    }
}

/// A device removes what it could not finish, as soon as the folder is there again.
fn clear_away(left: &Path) {
    // Whatever its name, it is there until it is removed.
    while fs::remove_file(left).is_err() {
        sleep(Duration::from_millis(20));
    }
}

/// A folder that goes away under a sender's hands is an error to it; the paper then comes again.
fn hand_over(folder: &Path, paper: &Paper, chance: &mut Chance) -> io::Result<()> {
    let path = folder.join(&paper.name);
    match chance.between(0, 4) {
        0 => {
            let (first, rest) = paper.bytes.split_at(paper.bytes.len() / 2);
            let mut file = File::create(&path)?;
            file.write_all(first)?;
            sleep(Duration::from_millis(chance.between(1, 200)));
            file.write_all(rest)?;
        }
        1 => {
            let under_way = folder.join(format!("{}.part", paper.name));
            fs::write(&under_way, &paper.bytes)?;
            if let Err(away) = fs::rename(&under_way, &path) {
                clear_away(&under_way);
                return Err(away);
            }
        }
        2 => {
            // The length first, as some systems copy; the content over it.
            let mut file = File::create(&path)?;
            file.set_len(paper.bytes.len() as u64)?;
            sleep(Duration::from_millis(chance.between(1, 60)));
            file.write_all(&paper.bytes)?;
        }
        _ => fs::write(&path, &paper.bytes)?,
    }
    Ok(())
}
