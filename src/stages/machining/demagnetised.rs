//! Machining: what was tested by magnetic particles is no magnet any more when it is back; a crankshaft that is one
//! holds every chip to its bearings.

use crate::facts::TestKind;
use crate::judgement::Judgement;
use crate::shop::{Back, Job, Order};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Machining, BlockerRule::Demagnetised);
    let back = job.orders.values().filter(|order| !order.is_out());
    let open = back.filter_map(|order| {
        let (actor, what) = open(job, order)?;
        Some(line.one(actor, format!("work order {}", order.number), what))
    });
    open.collect()
}

fn open(job: &Job, order: &Order) -> Option<(Actor, String)> {
    let tested = order.parts.iter().find(|place| was_magnetised(job, order, **place))?;
    let part = job.parts_name(&[*tested]);
    let mut said =
        order.backs.iter().filter(|back| Back::is_accepted(back)).filter_map(|back| back.back.demagnetised);
    match said.next_back() {
        Some(true) => None,
        Some(false) => Some((
            Actor::Machinist,
            format!(
                "{part} came back magnetic: have it demagnetised, and drop the order back again with that"
            ),
        )),
        None => Some((
            Actor::Bench,
            format!(
                "{part} was tested by magnetic particles: hold a pin to it, and drop the order back again with \
                 \"demagnetised\" yes or no"
            ),
        )),
    }
}

/// A test by magnetic particles before it came back.
fn was_magnetised(job: &Job, order: &Order, place: crate::shop::PartPlace) -> bool {
    let Some(last) = order.backs.last() else { return false };
    let part = job.sheet.as_deref().and_then(|sheet| sheet.parts.get(place.0));
    let (Some(part), Some(life)) = (part, job.parts.get(&place)) else { return false };
    life.tests.iter().any(|test| {
        test.kind == TestKind::MagneticParticle
            && !test.shows_nothing_on(part)
            && test.said.at <= last.said.at
    })
}
