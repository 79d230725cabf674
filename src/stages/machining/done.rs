//! Machining: all agreed work is done.

use crate::judgement::Judgement;
use crate::shop::{Agreed, Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let open = job.agreed.iter().filter(|(key, agreed)| !is_done(job, **key, agreed));
    let items = open.map(|(key, agreed)| {
        let to = agreed.finished.map_or_else(String::new, |size| format!(" to {}", size.show(unit)));
        (*key, Actor::Machinist, format!("{}{to}: agreed, not done", agreed.operation))
    });
    Line::of(Stage::Machining, BlockerRule::Done).surfaces(job, items)
}

/// Done when some operation on the part that is there now finished it to a size, or, for work without one, is
/// the same operation. Whether the size is the agreed one is another rule.
fn is_done(job: &Job, key: SurfaceKey, agreed: &Agreed) -> bool {
    let Some(surface) = job.surfaces.get(&key) else { return false };
    let matches = |done: &crate::shop::Done| match agreed.finished {
        Some(_) => done.finished.is_some(),
        None => done.operation == agreed.operation,
    };
    surface.done_now().any(matches)
}
