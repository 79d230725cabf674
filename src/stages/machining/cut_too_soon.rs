//! Machining: nothing is cut before the money is approved and the crack test passed.
//!
//! An order that is out is held until both are so (`held_orders`): its work counts as begun when something of it is back.

use crate::judgement::Judgement;
use crate::shop::{Job, Order, PartPlace, Said, SurfaceKey};
use crate::stages::asked::{comes_apart, parts};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::passed_before;
use crate::stages::lines::Line;
use std::collections::BTreeMap;

const LINE: Line = Line::of(Stage::Machining, BlockerRule::CutTooSoon);

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    if !comes_apart(job) {
        return Vec::new();
    }
    let begun = begun(job);
    let untested = parts(job, |part| part.crack_test).filter_map(|(place, part, life)| {
        let began = begun.get(&place).filter(|began| !passed_before(part, life, began.at))?;
        let what = format!(
            "worked on, or back from it, on {} before it passed a crack test: test it, and set this aside by name",
            began.written
        );
        Some((place, Actor::Bench, what))
    });
    let mut blockers = LINE.parts(job, untested);
    blockers.extend(not_approved(job, &begun));
    blockers
}

/// When each part that is there now was first worked on, or came back from it.
fn begun(job: &Job) -> BTreeMap<PartPlace, &Said> {
    let worked =
        job.parts.iter().flat_map(|(place, life)| life.worked.iter().map(|work| (*place, &work.said)));
    let ordered = job.orders.values().filter_map(|order| Some((order, order.backs.first()?)));
    let ordered = ordered.flat_map(|(order, back)| order.parts.iter().map(move |place| (*place, &back.said)));
    // What came in its place since was not there.
    let own = |place: &PartPlace, said: &Said| {
        job.parts.get(place).and_then(|life| life.renewed.as_ref()).is_none_or(|new| new.at <= said.at)
    };
    let ordered = ordered.filter(|(place, said)| own(place, said));
    let mut begun: BTreeMap<PartPlace, &Said> = BTreeMap::new();
    for (place, said) in worked.chain(ordered) {
        let first = begun.entry(place).or_insert(said);
        if said.at < first.at {
            *first = said;
        }
    }
    begun
}

fn not_approved(job: &Job, begun: &BTreeMap<PartPlace, &Said>) -> Vec<Blocker> {
    let words = "worked on, and nobody approved the money: stop, and ask the customer";
    let Some((approved, _)) = job.books.last_approval() else {
        return LINE.parts(job, begun.keys().map(|place| (*place, Actor::Owner, words.to_owned())));
    };
    // What was agreed after the last approval needs its own before it is cut.
    let later =
        job.agreed.iter().filter(|(key, agreed)| agreed.order.0 > approved.at && is_begun(job, **key));
    LINE.surfaces(job, later.map(|(key, _)| (*key, Actor::Owner, words.to_owned())))
}

fn is_begun(job: &Job, key: SurfaceKey) -> bool {
    let done = job.surfaces.get(&key).is_some_and(|surface| surface.done_now().next().is_some());
    let came = |order: &Order| order.has_come_back() && order.surfaces.contains(&key);
    done || job.orders.values().any(came)
}
