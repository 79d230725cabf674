//! Machining: nothing is cut, and nothing sent out to be cut, before the money is approved and the crack test passed.

use crate::judgement::Judgement;
use crate::shop::{Job, PartLife, PartPlace, SurfaceKey};
use crate::stages::asked::{comes_apart, parts};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::{day_approved, is_crack_tested};
use crate::stages::lines::Line;
use std::collections::BTreeSet;

const LINE: Line = Line::of(Stage::Machining, BlockerRule::CutTooSoon);

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    if !comes_apart(job) {
        return Vec::new();
    }
    let begun = begun(job);
    let untested = parts(job, |part| part.crack_test)
        .filter(|(place, _, life)| begun.contains(place) && !is_crack_tested(life))
        .map(|(place, _, _)| {
            (
                place,
                Actor::Bench,
                "worked on or sent out without a crack test that passed: stop, and test it".to_owned(),
            )
        });
    let mut blockers = LINE.parts(job, untested);
    blockers.extend(not_approved(job, &begun));
    blockers
}

/// Parts that were worked on, or went out for it.
fn begun(job: &Job) -> BTreeSet<PartPlace> {
    let worked = |(place, life): (&PartPlace, &PartLife)| (!life.worked.is_empty()).then_some(*place);
    let ordered = job.orders.values().flat_map(|order| order.parts.iter().copied());
    job.parts.iter().filter_map(worked).chain(ordered).collect()
}

fn not_approved(job: &Job, begun: &BTreeSet<PartPlace>) -> Vec<Blocker> {
    let words = "worked on or sent out, and nobody approved the money: stop, and ask the customer";
    let Some((approved, ..)) = day_approved(job) else {
        return LINE.parts(job, begun.iter().map(|place| (*place, Actor::Owner, words.to_owned())));
    };
    // What was agreed after the last approval needs its own before it is cut.
    let later = job.agreed.iter().filter(|(key, agreed)| agreed.order.0 > approved && is_begun(job, **key));
    LINE.surfaces(job, later.map(|(key, _)| (*key, Actor::Owner, words.to_owned())))
}

fn is_begun(job: &Job, key: SurfaceKey) -> bool {
    let done = job.surfaces.get(&key).is_some_and(|surface| surface.done_now().next().is_some());
    done || job.orders.values().any(|order| order.surfaces.contains(&key))
}
