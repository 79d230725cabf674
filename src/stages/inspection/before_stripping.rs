//! Inspection: end plays and backlash that the sheet asks for as received are measured before anything comes off. Once it is
//! apart nobody can tell how it ran, so it is asked for from the first day.

use crate::judgement::{Judgement, Verdict};
use crate::sheets::Characteristic;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::measured::{is_as_found, missing};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Inspection, BlockerRule::BeforeStripping);
    // Something is off already: what was not measured is late.
    let begun = job.parts.values().any(|life| life.off.is_some());
    // Another piece never ran here.
    let asked = missing(job, judgement, |verdict| is_before_stripping(verdict) && verdict.key.instance == 1);
    let open = asked.into_iter().map(move |(about, places)| {
        let what = if begun {
            format!(
                "not measured before it came apart ({places}): put it together as it ran and measure it, or say by name \
                 that it may be missing"
            )
        } else {
            format!("measure it before anything comes off: {places}")
        };
        line.one(Actor::Bench, about, what)
    });
    let questioned = || questioned(job, judgement).map(|about| line.one(Actor::Bench, about, AGAIN));
    open.chain((!begun).then(questioned).into_iter().flatten()).collect()
}

const AGAIN: &str =
    "what was read is doubted: measure it again before anything comes off, or confirm the reading by name";

/// What was read and is doubted: apart, nobody can read it again.
fn questioned<'j>(job: &'j Job, judgement: &'j Judgement) -> impl Iterator<Item = String> + 'j {
    let asked = judgement.standing().filter(|verdict| is_before_stripping(verdict));
    let doubted = asked.filter(|verdict| {
        judgement.questions.iter().any(|question| question.stands && question.surface == verdict.key.surface)
    });
    doubted.map(|verdict| job.surface_name(verdict.key.surface))
}

/// It is gone once the engine is apart.
pub(super) fn is_before_stripping(verdict: &Verdict) -> bool {
    is_as_found(verdict.key.condition) && gone_once_apart(verdict.key.characteristic)
}

/// How a shaft and gears sit with everything that holds them.
const fn gone_once_apart(characteristic: Characteristic) -> bool {
    matches!(characteristic, Characteristic::EndPlay | Characteristic::Backlash)
}
