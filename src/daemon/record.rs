//! One paper as the ledger records it: the drop, if it is one, and the arrival.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::papers::{Fate, Paper};
use crate::daemon::take_in::Decided;
use crate::facts::Fact;
use crate::ledger::{NewArrival, NewDrop, Outcome};
use jiff::Timestamp;
use std::sync::Arc;

/// The moment a batch is taken in, also as the folders name it.
pub(super) struct Moment {
    now: Timestamp,
    date: String,
    time: String,
}

impl House {
    pub(super) fn moment(&self, now: Timestamp) -> Moment {
        let (date, time) = self.press.date_and_time(now);
        Moment { now, date, time }
    }

    /// Adds a paper to the batch; its bytes move there.
    pub(super) fn record(
        &self,
        paper: &mut Paper,
        moment: &Moment,
        decided: &mut Decided,
    ) -> Result<(), DaemonError> {
        let Some(outcome) = paper.outcome() else {
            decided.places.push(None);
            return Ok(());
        };
        let place = self.place_of(paper, moment, outcome == Outcome::Returned)?;
        let fact = match &paper.fate {
            Fate::Filed(fact) => Some(Arc::clone(fact)),
            Fate::Copy | Fate::Returned(_) | Fate::Unfinished(..) | Fate::Left => None,
        };
        // Other bytes that say what was said already are a copy too.
        let is_said = match &fact {
            Some(fact) => !decided.statements.insert(fact.id) || self.ledger.known_content(&fact.id)?,
            None => false,
        };
        let bytes = std::mem::take(&mut paper.bytes);
        let job = fact.as_ref().map(|fact| fact.job.as_ref().map_or_else(String::new, ToString::to_string));
        let (slip, returned_bytes) = match (&paper.fate, paper.hash) {
            (Fate::Returned(slip), Some(_)) => (slip.clone(), Some(bytes)),
            (Fate::Returned(slip), None) => (slip.clone(), None),
            (Fate::Filed(_) | Fate::Copy | Fate::Unfinished(..) | Fate::Left, _) => {
                if let (Some(fact), Some(hash)) = (&fact, paper.hash) {
                    decided.batch.drops.push(NewDrop {
                        hash,
                        content: fact.id,
                        job: job.clone().unwrap_or_default(),
                        kind: fact.body.kind().to_owned(),
                        recorded: fact.head.recorded.instant().as_millisecond(),
                        bytes,
                    });
                }
                (String::new(), None)
            }
        };
        decided.batch.arrivals.push(NewArrival {
            at: moment.now.as_millisecond(),
            name: paper.candidate.name.clone(),
            stamp: paper.candidate.stamp.clone(),
            size: paper.candidate.size,
            outcome: if is_said { Outcome::Copy } else { outcome },
            hash: paper.hash,
            job,
            kind: fact.as_ref().map(|fact| fact.body.kind().to_owned()),
            place: place.clone(),
            slip,
            bytes: returned_bytes,
            remark: remark(paper, fact.as_deref(), moment.now),
        });
        decided.places.push(Some(place));
        Ok(())
    }

    /// Where the paper is to lie. Claimed again after a stop, it lies where it was promised then.
    fn place_of(&self, paper: &Paper, moment: &Moment, returned: bool) -> Result<String, DaemonError> {
        let candidate = &paper.candidate;
        // A statement whose bytes the ledger does not know was never promised a place.
        if matches!(paper.fate, Fate::Filed(_)) {
            let hash = paper.hash.as_ref();
            return Ok(self.folder.place_for(&moment.date, &moment.time, candidate, hash, returned));
        }
        let seen = self.ledger.arrival_seen(&candidate.name, &candidate.stamp, paper.hash.as_ref())?;
        Ok(match seen.filter(|seen| (seen.outcome == Outcome::Returned) == returned) {
            Some(seen) => seen.place,
            None => {
                self.folder.place_for(&moment.date, &moment.time, candidate, paper.hash.as_ref(), returned)
            }
        })
    }
}

/// A device that records ahead of us is flagged; so is a conflict copy.
fn remark(paper: &Paper, fact: Option<&Fact>, now: Timestamp) -> String {
    const AHEAD_MINUTES: i64 = 5;
    let mut remarks = Vec::new();
    if paper.candidate.conflict_copy {
        remarks.push("a conflict copy of a sync tool".to_owned());
    }
    if let Some(fact) = fact {
        let ahead = fact.head.recorded.instant().duration_since(now).as_mins();
        if ahead >= AHEAD_MINUTES {
            let device = &fact.head.device;
            remarks.push(format!("recorded {ahead} minutes ahead of our clock: set the clock of {device:?}"));
        }
    }
    remarks.join("; ")
}
