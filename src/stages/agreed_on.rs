//! What agreed work rests on: what is to be done where, the readings of its surfaces as they were then, and what those ask
//! for. A code that was shown beside one plan does not agree to another.
//!
//! Work done since, and readings after it, are not what the agreement was made on: only what was read in the condition the
//! surface had when it was agreed counts. A correction, a withdrawal or a late file for that condition changes the facts;
//! where it also changes what is asked for, the agreement does not stand.

use crate::facts::{Code, Digest};
use crate::judgement::{Judgement, ReadingRef};
use crate::planning::{asked_for, rests_on};
use crate::shop::{FindingNow, Job, Piece, SetKey, Surface, SurfaceKey};
use jiff::Timestamp;
use std::collections::BTreeSet;

/// The code of work agreed at a time; `None` is now.
pub(super) fn code(job: &Job, judgement: &Judgement, pieces: &[Piece], at: Option<Timestamp>) -> Code {
    let sets: Vec<(SurfaceKey, SetKey)> =
        keys(pieces).into_iter().filter_map(|key| set_of(job, key, at)).collect();
    let mut facts = facts(job, judgement, &rests_on(job, &sets));
    let mut asked = asked_for(job, judgement, &sets);
    for piece in pieces {
        let to = piece.finished.map_or_else(String::new, |size| format!(" {size:?}"));
        let words = format!("{}: {}{to}", job.surface_name(piece.surface), piece.operation);
        facts.push(words.clone());
        // The same readings ask for the same, and yet it is other work.
        asked.push(words);
    }
    Code::of_lists(&facts, &asked)
}

/// The surfaces of some pieces of work.
pub(super) fn keys(pieces: &[Piece]) -> BTreeSet<SurfaceKey> {
    pieces.iter().map(|piece| piece.surface).collect()
}

/// The code to quote by whoever agrees now to exactly this work.
#[must_use]
pub fn agreement_code(job: &Job, judgement: &Judgement, pieces: &[Piece]) -> Code {
    code(job, judgement, pieces, None)
}

/// The set that spoke for the surface then: of the piece that was there, after the work that had been done.
fn set_of(job: &Job, key: SurfaceKey, at: Option<Timestamp>) -> Option<(SurfaceKey, SetKey)> {
    let surface = job.surfaces.get(&key)?;
    let Some(at) = at else { return surface.before_assembly().map(|(set, _)| (key, *set)) };
    let read_by_then = |set: &&SetKey| {
        let readings = surface.sets.get(*set).into_iter().flat_map(|set| set.readings.values().flatten());
        readings.into_iter().any(|reading| reading.recorded <= at)
    };
    // A correction is recorded later than what it corrects: the piece is then the first that was read.
    let first = surface.sets.keys().map(|set| set.instance).min();
    let instance = surface.sets.keys().filter(read_by_then).map(|set| set.instance).max().or(first)?;
    let done = done_by(job, surface, instance, at);
    let of_then = |set: &&SetKey| {
        set.instance == instance && set.condition.operations() == done && !set.condition.is_at_assembly()
    };
    surface.sets.keys().rfind(of_then).map(|set| (key, *set))
}

fn done_by(job: &Job, surface: &Surface, instance: usize, at: Timestamp) -> usize {
    let recorded = |name: Digest| {
        let fact = job.statements().iter().find(|fact| fact.id == name)?;
        Some(fact.head.recorded.instant())
    };
    let own = surface.done.iter().filter(|done| done.instance == instance);
    own.filter(|done| recorded(done.fact).is_some_and(|time| time <= at)).count()
}

/// The readings that count, and the scores.
fn facts(job: &Job, judgement: &Judgement, sets: &[(SurfaceKey, SetKey)]) -> Vec<String> {
    let questioned: BTreeSet<ReadingRef> = judgement.questions.iter().map(|q| q.reading).collect();
    let mut facts = Vec::new();
    for (key, set) in sets {
        let readings = job.surfaces.get(key).and_then(|surface| surface.sets.get(set));
        let readings = readings.into_iter().flat_map(|set| set.readings.values().flatten());
        let counting = readings.filter(|r| !questioned.contains(&ReadingRef { fact: r.fact, row: r.row }));
        facts.extend(counting.map(|reading| format!("{}:{}", reading.fact.hex(), reading.row)));
        let scored =
            job.findings.iter().filter(|f| f.score.as_ref().is_some_and(|score| score.surface == *key));
        facts.extend(scored.map(|finding| format!("{}:{}", finding.said.fact.hex(), finding.item)));
    }
    facts
}

/// Everything it rests on was recorded by then: it need not be folded as of that time. (What was withdrawn since was never
/// said, as everywhere.)
pub(super) fn was_all_known(job: &Job, pieces: &[Piece], at: Timestamp) -> bool {
    let keys = keys(pieces);
    let read = |(key, set): (SurfaceKey, SetKey)| {
        let readings = job.surfaces.get(&key).and_then(|surface| surface.sets.get(&set));
        readings.into_iter().flat_map(|set| set.readings.values().flatten()).all(|r| r.recorded <= at)
    };
    let scored = |finding: &FindingNow| finding.score.as_ref().is_some_and(|s| keys.contains(&s.surface));
    let sets: Vec<(SurfaceKey, SetKey)> = keys.iter().filter_map(|key| set_of(job, *key, Some(at))).collect();
    rests_on(job, &sets).into_iter().all(read)
        && job.findings.iter().filter(|finding| scored(finding)).all(|finding| finding.said.at <= at)
}
