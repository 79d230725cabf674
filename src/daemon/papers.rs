//! From claimed papers to decisions about each: filed, copy, returned, or not yet.

use crate::daemon::error::DaemonError;
use crate::facts::{Digest, Fact, Fault, Refusal, Unreadable, decode, slip, slip_of};
use crate::intake::{Candidate, Claim, Unfinished};
use crate::ledger::{Ledger, Outcome};
use jiff::Timestamp;
use std::collections::BTreeSet;
use std::sync::Arc;

/// A paper and what is to become of it.
pub(super) struct Paper {
    pub(super) candidate: Candidate,
    pub(super) bytes: Vec<u8>,
    pub(super) hash: Option<Digest>,
    pub(super) fate: Fate,
}

/// What is to become of a paper.
pub(super) enum Fate {
    /// Accepted: a statement; it may be one that is known in other words.
    Filed(Arc<Fact>),
    /// These bytes were accepted before.
    Copy,
    /// Refused, with its slip.
    Returned(String),
    /// Not all there yet.
    Unfinished(Unfinished, String),
    /// Nothing to decide: it moved, or cannot be read now.
    Left,
}

impl Paper {
    pub(super) fn outcome(&self) -> Option<Outcome> {
        match self.fate {
            Fate::Filed(_) => Some(Outcome::Filed),
            Fate::Copy => Some(Outcome::Copy),
            Fate::Returned(_) => Some(Outcome::Returned),
            Fate::Unfinished(..) | Fate::Left => None,
        }
    }
}

/// From this many papers on two threads decode.
const WORTH_TWO: usize = 64;

/// Decodes every claim. Pure work on bytes, so it is split between two threads where that pays.
pub(super) fn read_all(claims: Vec<Claim>, site: &str, now: Timestamp) -> Vec<Paper> {
    if claims.len() < WORTH_TWO {
        return claims.into_iter().map(|claim| read_one(claim, site, now)).collect();
    }
    let mut first = claims;
    let second = first.split_off(first.len() / 2);
    let read =
        |claims: Vec<Claim>| claims.into_iter().map(|claim| read_one(claim, site, now)).collect::<Vec<_>>();
    std::thread::scope(|scope| {
        let other = scope.spawn(|| read(second));
        let mut papers = read(first);
        match other.join() {
            Ok(more) => papers.extend(more),
            // A panic in decoding is a defect; it must end the process, not lose half a batch.
            Err(panic) => std::panic::resume_unwind(panic),
        }
        papers
    })
}

/// What one claim comes to.
pub(super) fn read_one(claim: Claim, site: &str, now: Timestamp) -> Paper {
    let left = |candidate, fate| Paper { candidate, bytes: Vec::new(), hash: None, fate };
    match claim {
        Claim::Paper { candidate, bytes, hash, .. } => {
            let fate = fate_of(&candidate.name, &bytes, site, now);
            Paper { candidate, bytes, hash: Some(hash), fate }
        }
        Claim::TooLarge { candidate, size } => {
            let fault = Fault::new(
                "",
                format!("{size} bytes"),
                "at most 1 MiB; was a picture or a backup dropped by mistake?",
            );
            let slip = slip_of(&candidate.name, &[fault]);
            left(candidate, Fate::Returned(slip))
        }
        Claim::NotAFile { candidate, what } => {
            let slip = slip_of(
                &candidate.name,
                &[Fault::new("", format!("a {what}"), "a file; links and the like are not followed")],
            );
            left(candidate, Fate::Returned(slip))
        }
        Claim::Moved { candidate } => left(candidate, Fate::Left),
        Claim::Unreadable { candidate, error } => {
            tracing::warn!(paper = %candidate.name, %error, "cannot be read now; it waits");
            left(candidate, Fate::Left)
        }
    }
}

/// What bytes come to by themselves; whether they are a copy only the ledger knows.
pub(super) fn fate_of(name: &str, bytes: &[u8], site: &str, now: Timestamp) -> Fate {
    let refusal = match decode(bytes, site) {
        Ok(fact) => match fact.too_far_ahead(now) {
            None => return Fate::Filed(Arc::new(fact)),
            Some(fault) => Refusal::Faults(vec![fault]),
        },
        Err(refusal) => refusal,
    };
    let slip = slip(name, &refusal);
    match refusal {
        Refusal::Unreadable(Unreadable::Empty) => Fate::Unfinished(Unfinished::Empty, slip),
        Refusal::Unreadable(Unreadable::CutShort) => Fate::Unfinished(Unfinished::CutShort, slip),
        Refusal::Unreadable(
            Unreadable::Broken { .. } | Unreadable::NotUtf8 { .. } | Unreadable::Picture(_),
        ) => Fate::Unfinished(Unfinished::Broken, slip),
        Refusal::Unreadable(Unreadable::Utf16 | Unreadable::Spreadsheet { .. }) | Refusal::Faults(_) => {
            Fate::Returned(slip)
        }
    }
}

/// Papers whose bytes are known, from the ledger or from earlier in the batch, are copies; so is one that an earlier release
/// took and today's door would return.
pub(super) fn find_copies(papers: &mut [Paper], ledger: &Ledger) -> Result<(), DaemonError> {
    let mut seen = BTreeSet::new();
    for paper in papers {
        let (Some(hash), Fate::Filed(_) | Fate::Returned(_)) = (paper.hash, &paper.fate) else { continue };
        let is_taken = matches!(paper.fate, Fate::Filed(_));
        if (is_taken && !seen.insert(hash)) || ledger.known(&hash)?.is_some() {
            paper.fate = Fate::Copy;
        }
    }
    Ok(())
}
