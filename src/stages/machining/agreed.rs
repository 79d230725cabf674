//! Machining: what was done is what was agreed.

use crate::facts::SizeWord;
use crate::judgement::Judgement;
use crate::shop::{Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::machining::returned_size::came_back_other;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let items = job.surfaces.keys().filter_map(|key| {
        let what = match (finished(job, *key)?, job.agreed.get(key)) {
            (done, None) => {
                format!(
                    "finished to {}, which nobody agreed: agree it, or say what is done instead",
                    done.show(unit)
                )
            }
            (done, Some(agreed)) if agreed.finished == Some(done) => return None,
            (done, Some(agreed)) => {
                let agreed = agreed.finished.map_or_else(
                    || format!("{} without a size", agreed.operation),
                    |target| target.show(unit).to_string(),
                );
                format!("finished to {}, agreed was {agreed}: decide which holds", done.show(unit))
            }
        };
        Some((*key, Actor::Owner, what))
    });
    Line::of(Stage::Machining, BlockerRule::Agreed).surfaces(job, items)
}

/// The size a surface was last finished to, unless an order came back in another one, which has its own rule. Work that
/// leaves the size class, a polish, needs no agreement of its own.
fn finished(job: &Job, key: SurfaceKey) -> Option<SizeWord> {
    let done = job.surfaces.get(&key)?.done_now().filter(|done| done.finished.is_some()).last()?;
    let other = came_back_other(job).any(|other| other.back.said.fact == done.fact);
    done.finished.filter(|_| !other)
}
