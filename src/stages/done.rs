//! Machining: all agreed work is done.

use crate::judgement::Judgement;
use crate::shop::{Agreed, Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use std::collections::BTreeMap;

pub(super) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    // One line for a piece of work, with its positions: nobody reads twenty lines that differ in a number.
    let mut open: BTreeMap<(usize, &str, _), Vec<SurfaceKey>> = BTreeMap::new();
    for (key, agreed) in job.agreed.iter().filter(|(key, agreed)| !is_done(job, **key, agreed)) {
        open.entry((key.feature, agreed.operation.as_str(), agreed.finished)).or_default().push(*key);
    }
    open.into_iter()
        .filter_map(|((feature, operation, finished), keys)| {
            let feature = sheet.features.get(feature)?;
            let positions: Vec<&str> = keys
                .iter()
                .filter_map(|key| feature.positions.get(key.position))
                .map(String::as_str)
                .collect();
            let to = finished.map_or_else(String::new, |size| format!(" to {}", size.show(sheet.unit)));
            Some(Blocker {
                stage: Stage::Machining,
                rule: BlockerRule::Done,
                actor: Actor::Machinist,
                about: format!("{} {}", feature.key, positions.join(", ")),
                what: format!("{operation}{to}: agreed, not done"),
            })
        })
        .collect()
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
