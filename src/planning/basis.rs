//! What the readings asked for at one time: what agreed work rests on, so that readings that change it are noticed.

use crate::judgement::{Judgement, Verdict};
use crate::metrology::Exact;
use crate::planning::need::{Needs, swing_of};
use crate::planning::readings::Readings;
use crate::shop::{Job, SetKey, SurfaceKey};
use std::collections::BTreeMap;

/// What cleans a surface up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Size {
    /// This step.
    Step(Exact),
    /// No size does.
    None,
}

/// What these sets of readings ask for, a line a group or surface: whether anything must be done, and which size cleans up.
/// The same lines mean that the same work would be agreed.
#[must_use]
pub fn asked_for(job: &Job, judgement: &Judgement, sets: &[(SurfaceKey, SetKey)]) -> Vec<String> {
    let readings = Readings::of(job, judgement);
    let mut asked: BTreeMap<String, (bool, Option<Size>)> = BTreeMap::new();
    for (key, set) in sets {
        let Some(feature) = job.feature(*key) else { continue };
        let grouped = !feature.group.is_empty();
        let name = if grouped { feature.group.clone() } else { job.surface_name(*key) };
        let beyond = is_beyond(job, judgement, *key, *set);
        let step = Needs::of(&readings, feature).and_then(|needs| {
            let readings = job.surfaces.get(key)?.sets.get(set)?;
            let need = needs.need_in(*key, readings, set.condition.operations() == 0)?;
            Some(need.safe_step.map_or(Size::None, Size::Step))
        });
        let entry = asked.entry(name).or_default();
        entry.0 |= beyond;
        // The largest decides for the group.
        entry.1 = entry.1.max(step);
    }
    asked.into_iter().map(|(name, (beyond, step))| format!("{name}: {beyond} {step:?}")).collect()
}

/// Beyond a limit in that set, or scored before any work.
fn is_beyond(job: &Job, judgement: &Judgement, key: SurfaceKey, set: SetKey) -> bool {
    let verdicts = judgement.verdicts.iter().filter(|verdict| {
        verdict.key.surface == key
            && verdict.key.instance == set.instance
            && verdict.key.condition == set.condition
            && verdict.key.characteristic.is_of_features()
    });
    let mut scores = job.findings.iter().filter(|f| f.stands).filter_map(|finding| finding.score.as_ref());
    verdicts.into_iter().any(Verdict::is_beyond)
        || (set.condition.operations() == 0 && scores.any(|score| score.surface == key))
}

/// Every set of readings that work on these surfaces rests on: their own, and where none was done yet those of the indicator
/// that ran on them.
#[must_use]
pub fn rests_on(job: &Job, sets: &[(SurfaceKey, SetKey)]) -> Vec<(SurfaceKey, SetKey)> {
    let mut all = sets.to_vec();
    for (key, set) in sets {
        all.extend(
            swing_of(job, *key, set.condition.operations() == 0).map(|(surface, set, _)| (surface, set)),
        );
    }
    all.sort_unstable();
    all.dedup();
    all
}
