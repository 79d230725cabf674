//! The door as its caller uses it, on real folders, with a clock of the test's own.
//!
//! [`Bench`] plays the caller: a paper is complete when its content ends in `}`, empty when it holds nothing but
//! zero bytes, broken when it begins with `!`, and cut short otherwise. `arriving` follows papers in, `leaving`
//! follows them out, and `hostile` drops what nobody should.

mod arriving;
mod hostile;
mod leaving;

use crate::intake::Candidate;
use crate::intake::Claim;
use crate::intake::Destination;
use crate::intake::Filed;
use crate::intake::Filing;
use crate::intake::Folder;
use crate::intake::IntakeError;
use crate::intake::Look;
use crate::intake::Settings;
use crate::intake::Unfinished;
use crate::intake::lay_out;
use std::fs;
use std::path::PathBuf;
use std::time::Duration;

/// A watch folder in a temporary place, and the time.
struct Bench {
    dir: tempfile::TempDir,
    folder: Folder,
    now: Duration,
    seconds_of_day: u32,
}

impl Bench {
    fn new() -> Self {
        Self::with(Settings { quiet_rows: Duration::ZERO, ..Settings::default() })
    }

    fn with(settings: Settings) -> Self {
        let dir = tempfile::tempdir().unwrap();
        lay_out(dir.path()).unwrap();
        let folder = Folder::open(dir.path(), settings).unwrap();
        Self { dir, folder, now: Duration::from_secs(100), seconds_of_day: 80_000 }
    }

    fn path(&self, below: &str) -> PathBuf {
        self.dir.path().join(below)
    }

    fn drop_path(&self, name: &str) -> PathBuf {
        self.path("drop").join(name)
    }

    fn put(&self, name: &str, content: impl AsRef<[u8]>) {
        fs::write(self.drop_path(name), content).unwrap();
    }

    fn text(&self, below: &str) -> String {
        fs::read_to_string(self.path(below)).unwrap()
    }

    fn wait(&mut self, seconds: f64) {
        self.now += Duration::from_secs_f64(seconds);
    }

    fn look(&mut self) -> Look {
        self.folder.look(self.now).unwrap()
    }

    /// Two looks a little more than the quiet time apart.
    fn settle(&mut self) -> Vec<Candidate> {
        self.look();
        self.wait(1.1);
        self.look().ready
    }

    /// Two looks, and everything that settled taken in: one line a paper, `filed NAME CONTENT` and the like.
    fn take_in(&mut self) -> Vec<String> {
        let ready = self.settle();
        self.take_in_these(&ready)
    }

    fn take_in_these(&mut self, ready: &[Candidate]) -> Vec<String> {
        let claims = self.folder.claim(ready);
        assert_eq!(claims.len(), ready.len());
        let mut log = Vec::new();
        let filings: Vec<_> = claims.into_iter().filter_map(|claim| self.judge(claim, &mut log)).collect();
        for result in self.folder.file_away(&filings, self.now).unwrap() {
            match result.unwrap() {
                Filed::At(place) => assert!(self.path(&place).symlink_metadata().is_ok(), "{place}"),
                Filed::Overtaken => log.push("overtaken".to_owned()),
            }
        }
        log
    }

    fn judge(&mut self, claim: Claim, log: &mut Vec<String>) -> Option<Filing> {
        match claim {
            Claim::Paper { candidate, bytes, hash, .. } => {
                let text = String::from_utf8_lossy(&bytes).into_owned();
                let unfinished = why_unfinished(&bytes);
                if let Some(state) = unfinished
                    && !self.folder.patience_over(&candidate, state, self.now)
                {
                    self.folder.still_arriving(&candidate, state, self.now);
                    log.push(format!("{state:?} {}", candidate.name));
                    return None;
                }
                log.push(format!(
                    "{} {} {text}",
                    if unfinished.is_none() { "filed" } else { "returned" },
                    candidate.name
                ));
                let mut filing = self.filing(&candidate, unfinished.map(|state| format!("{state:?}")));
                filing.hash = Some(hash);
                Some(filing)
            }
            Claim::TooLarge { candidate, size } => {
                log.push(format!("too large {} {size}", candidate.name));
                Some(self.filing(&candidate, Some("too large".to_owned())))
            }
            Claim::NotAFile { candidate, what } => {
                log.push(format!("{what} {}", candidate.name));
                Some(self.filing(&candidate, Some(what.to_owned())))
            }
            Claim::Moved { candidate } => {
                log.push(format!("moved {}", candidate.name));
                None
            }
            Claim::Unreadable { candidate, error } => {
                log.push(format!("unreadable {} {error}", candidate.name));
                None
            }
        }
    }

    /// The order to file a paper, or to return it when there is a slip.
    fn filing(&mut self, candidate: &Candidate, slip: Option<String>) -> Filing {
        self.seconds_of_day += 1;
        let time = format!("{:06}", self.seconds_of_day);
        let place = self.folder.place_for("2026-11-25", &time, candidate, None, slip.is_some());
        let to = slip.map_or(Destination::Filed, |slip| Destination::Returned { slip });
        Filing { candidate: candidate.clone(), to, place, hash: None }
    }

    /// Files one paper at a given place.
    fn file(&mut self, candidate: &Candidate, slip: Option<&str>, place: &str) -> Result<Filed, IntakeError> {
        let to = slip.map_or(Destination::Filed, |slip| Destination::Returned { slip: slip.to_owned() });
        let filing = Filing { candidate: candidate.clone(), to, place: place.to_owned(), hash: None };
        self.folder.file_away(&[filing], self.now).unwrap().remove(0)
    }
}

fn why_unfinished(bytes: &[u8]) -> Option<Unfinished> {
    if bytes.iter().all(|byte| *byte == 0) {
        Some(Unfinished::Empty)
    } else if bytes.starts_with(b"!") {
        Some(Unfinished::Broken)
    } else if bytes.ends_with(b"}") {
        None
    } else {
        Some(Unfinished::CutShort)
    }
}
