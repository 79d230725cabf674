//! Machining: what was done is what was agreed.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};

pub(super) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let mut blockers = Vec::new();
    for (key, surface) in &job.surfaces {
        // Work that leaves the size class, a polish, needs no agreement of its own.
        let Some(finished) = surface.done_now().filter_map(|done| done.finished).last() else { continue };
        let done = finished.show(unit);
        let what = match job.agreed.get(key) {
            None => format!("finished to {done}, which nobody agreed: agree it, or say what is done instead"),
            Some(agreed) => match agreed.finished {
                Some(target) if target != finished => {
                    format!("finished to {done}, agreed was {}: decide which holds", target.show(unit))
                }
                Some(_) | None => continue,
            },
        };
        blockers.push(Blocker {
            stage: Stage::Machining,
            rule: BlockerRule::Agreed,
            actor: Actor::Owner,
            about: job.surface_name(*key),
            what,
        });
    }
    blockers
}
