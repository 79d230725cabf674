//! Reading on while the ledger writes: in a backlog the papers of the next turn are read and decoded on another thread
//! while those of this one are committed and filed away.
//!
//! Nothing is decided ahead. A paper that was read so is used when the next look finds it exactly as it was; what
//! changed, went, or is no whole statement is read again in its turn, as if nobody had looked.

use crate::daemon::house::House;
use crate::daemon::papers::{Fate, Paper, read_all, read_one};
use crate::intake::{Candidate, ReadAhead};
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::thread;

/// Statements that were read before their turn, by their paths.
#[derive(Default)]
pub(super) struct Ahead(BTreeMap<OsString, Paper>);

impl Ahead {
    /// Reads and decodes. Only statements are kept: whether the rest is whole, or too far ahead of the clock, is for its
    /// own turn to say.
    fn of(papers: ReadAhead, site: &str, now: Timestamp) -> Self {
        let read = papers.read().into_iter().map(|claim| read_one(claim, site, now));
        let statements = read.filter(|paper| matches!(paper.fate, Fate::Filed(_)));
        Self(statements.map(|paper| (paper.candidate.path.clone(), paper)).collect())
    }

    /// The paper, if it was read as it is now.
    fn take(&mut self, candidate: &Candidate) -> Option<Paper> {
        self.0.remove(&candidate.path).filter(|paper| paper.candidate == *candidate)
    }
}

impl House {
    /// The papers of this turn, in the order of the look: read ahead or now.
    pub(super) fn read(&mut self, ready: &[Candidate], now: Timestamp) -> Vec<Paper> {
        let mut ahead = std::mem::take(&mut self.ahead);
        let papers: Vec<Option<Paper>> = ready.iter().map(|candidate| ahead.take(candidate)).collect();
        let unread = ready.iter().zip(&papers).filter(|(_, paper)| paper.is_none());
        let unread: Vec<Candidate> = unread.map(|(candidate, _)| candidate.clone()).collect();
        let mut read = read_all(self.folder.claim(&unread), &self.config.site, now).into_iter();
        papers.into_iter().filter_map(|paper| paper.or_else(|| read.next())).collect()
    }

    /// Does this, and reads those papers meanwhile. Where no thread is to be had they are read in their turn.
    pub(super) fn reading_ahead<T>(
        &mut self,
        papers: Vec<Candidate>,
        now: Timestamp,
        work: impl FnOnce(&mut Self) -> T,
    ) -> T {
        if papers.is_empty() {
            return work(self);
        }
        let site = self.config.site.clone();
        let reader = self.folder.read_ahead(papers);
        let (done, ahead) = thread::scope(|scope| {
            let reading = reader.and_then(|papers| {
                let read = || Ahead::of(papers, &site, now);
                thread::Builder::new().spawn_scoped(scope, read).ok()
            });
            (work(self), reading.map(thread::ScopedJoinHandle::join))
        });
        match ahead {
            Some(Ok(ahead)) => self.ahead = ahead,
            // A panic in decoding is a defect; it must end the process, as it does in a paper's own turn.
            Some(Err(panic)) => std::panic::resume_unwind(panic),
            None => {}
        }
        done
    }
}
