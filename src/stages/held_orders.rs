//! Orders that must not be cut yet, and so are not sent to whoever does the work: each with the blockers in its way.
//!
//! Nothing is cut before the money is approved, the parts have passed their tests, the work is agreed in that size and by
//! that operation, its readings are beyond question, and what it is cut to fit lies here. Each of these is a blocker of
//! its own gate, whichever the engine stands at, so that a named person who sets it aside lets the order go. Of what came
//! back the rules of machining say what they have to.

use crate::facts::TestResult;
use crate::shop::{Job, Order, PartLife, PartPlace, SurfaceKey, Thing, Touched};
use crate::stages::blocker::{Actor, Blocker, BlockerRule};
use crate::stages::inspection::{AND_MORE, untested, wanted};
use crate::stages::machining::{about, is_sent_by_word, works_metal};
use std::collections::BTreeMap;

/// By folded number, orders that are held: the blockers nobody has set aside that stand in their way.
pub(super) fn held(job: &Job, blockers: &[Blocker]) -> BTreeMap<String, Vec<Blocker>> {
    let waiting = job.orders.iter().filter(|(_, order)| !order.has_come_back());
    let held = waiting.map(|(number, order)| {
        let own = blockers.iter().filter(|blocker| is_in_the_way(job, order, blocker));
        let mut own: Vec<Blocker> = own.cloned().collect();
        // What is wrong with the order itself before what others have to do.
        own.sort_by_key(|blocker| blocker.rule != BlockerRule::Ordered);
        (number.clone(), own)
    });
    held.filter(|(_, own)| !own.is_empty()).collect()
}

/// Says of a held order that it is not with the machinist.
pub(super) fn say(job: &Job, held: &BTreeMap<String, Vec<Blocker>>, blocker: &mut Blocker) {
    let is_its = |number: &String| job.orders.get(number).is_some_and(|order| about(order) == blocker.about);
    if blocker.rule == BlockerRule::Out
        && let Some((_, own)) = held.iter().find(|(number, _)| is_its(number))
    {
        blocker.actor = Actor::Owner;
        blocker.what = format!("held, nothing of it may be cut yet: {}", reasons(own).join("; "));
    }
}

/// Each in a line, with what to do.
pub(super) fn reasons(own: &[Blocker]) -> Vec<String> {
    let one = |blocker: &Blocker| {
        // The order itself is named where this is read.
        if blocker.rule == BlockerRule::Ordered || blocker.about.is_empty() {
            return blocker.what.clone();
        }
        format!("{}: {}", blocker.about, blocker.what)
    };
    own.iter().map(one).collect()
}

fn is_in_the_way(job: &Job, order: &Order, blocker: &Blocker) -> bool {
    // Nothing leaves the shop of an engine that nobody may take apart, or that was set aside.
    if matches!(blocker.rule, BlockerRule::Authority | BlockerRule::Stored) {
        return true;
    }
    if !works_metal(order) {
        return false;
    }
    let is = |rule: BlockerRule| blocker.rule == rule;
    is(BlockerRule::Estimated)
        || (is(BlockerRule::Ordered) && blocker.about == about(order))
        || (is(BlockerRule::Approved) && needs_approval(job, order, blocker))
        || (is(BlockerRule::Tested) && parts_named(job, order, blocker).any(|place| fails(job, place)))
        || (is(BlockerRule::Disposed) && parts_named(job, order, blocker).next().is_some())
        || (is(BlockerRule::InHand) && needs_part(job, order, blocker))
        || (is(BlockerRule::Questioned)
            && order.surfaces.iter().any(|key| job.surface_name(*key) == blocker.about))
}

/// What was agreed after the approval has a blocker of its own, which holds the work it names and no other.
fn needs_approval(job: &Job, order: &Order, blocker: &Blocker) -> bool {
    let about = blocker.about.strip_suffix(AND_MORE).unwrap_or(&blocker.about);
    let Touched::Things(things) = job.things_named(about) else { return true };
    let Some((approved, _)) = job.books.last_approval() else { return true };
    let is_surface = things.iter().any(|thing| matches!(thing, Thing::Surface(_)));
    let later = |key: &SurfaceKey| job.agreed.get(key).is_some_and(|agreed| agreed.order.0 > approved.at);
    !is_surface || worked_on(job, order).any(|key| later(&key))
}

/// The surfaces of an order; of one that names none, those of its parts on which such work is agreed.
fn worked_on(job: &Job, order: &Order) -> impl Iterator<Item = SurfaceKey> {
    let of_parts = job.agreed.iter().filter(|(key, agreed)| {
        order.surfaces.is_empty()
            && agreed.operation == order.out.operation
            && order.parts.contains(&job.part_of(**key))
    });
    order.surfaces.iter().copied().chain(of_parts.map(|(key, _)| *key))
}

/// The parts of an order that a blocker names.
fn parts_named<'a>(
    job: &'a Job,
    order: &'a Order,
    blocker: &Blocker,
) -> impl Iterator<Item = PartPlace> + 'a {
    let about = job.things_named(&blocker.about);
    let own = order.surfaces.iter().map(|key| job.part_of(*key)).chain(order.parts.iter().copied());
    own.filter(move |place| job.meet(&about, &Touched::Things(vec![Thing::Part(*place)])))
}

/// A test is missing, or was failed and nobody has decided on a repair since.
fn fails(job: &Job, place: PartPlace) -> bool {
    let part = job.sheet.as_deref().and_then(|sheet| sheet.parts.get(place.0));
    let (Some(part), Some(life)) = (part, job.parts.get(&place)) else { return true };
    let failed = |life: &PartLife| {
        life.tests.iter().rfind(|test| test.result == TestResult::Failed).map(|test| test.said.at)
    };
    let decided = job.decided_on(place).filter(|_| is_sent_by_word(job, place));
    untested(part, life) || decided.is_none_or(|word| failed(life).is_some_and(|at| word.said.at < at))
}

/// A part that must be in hand before this operation on these surfaces.
fn needs_part(job: &Job, order: &Order, blocker: &Blocker) -> bool {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return false };
    wanted(job).into_iter().any(|wanted| {
        wanted.name(unit) == blocker.about
            && wanted.part.is_needed_before(&order.out.operation)
            && worked_on(job, order).any(|key| wanted.work.iter().any(|(own, _)| *own == key))
    })
}
