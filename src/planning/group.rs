//! One size for a whole group.

use crate::facts::SizeWord;
use crate::judgement::{Judgement, Verdict};
use crate::metrology::Exact;
use crate::planning::need::{Need, Needs};
use crate::planning::readings::Readings;
use crate::sheets::{Feature, Shape};
use crate::shop::{Job, SurfaceKey};
use std::collections::BTreeSet;

/// What is proposed for one group.
#[derive(Clone, Debug)]
pub struct GroupPlan {
    /// Index of the feature in the sheet.
    pub feature: usize,
    /// The group's name.
    pub group: String,
    /// What each measured position needs.
    pub needs: Vec<Need>,
    /// Positions that are beyond a limit as found, or scored.
    pub because: Vec<String>,
    /// Positions that are not measured, so that the proposal may still grow.
    pub unmeasured: Vec<String>,
    /// The size that cleans up every measured position; `None` when no size of the list does.
    pub step: Option<SizeWord>,
    /// The same on the optimistic estimates.
    pub optimistic: Option<SizeWord>,
}

/// A proposal for every group that has a position beyond its limit as found.
#[must_use]
pub fn plan(job: &Job, judgement: &Judgement) -> Vec<GroupPlan> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let groups = sheet.features.iter().enumerate().filter(|(_, f)| !f.group.is_empty());
    groups.filter_map(|(index, feature)| group_plan(job, judgement, index, feature)).collect()
}

fn group_plan(job: &Job, judgement: &Judgement, index: usize, feature: &Feature) -> Option<GroupPlan> {
    feature.sizes.as_ref()?;
    let because = beyond(job, judgement, index);
    if because.is_empty() {
        return None;
    }
    let readings = Readings::of(job, judgement);
    let of = Needs::of(&readings, feature)?;
    let (mut needs, mut unmeasured) = (Vec::new(), Vec::new());
    for position in 0..feature.positions.len() {
        let key = SurfaceKey { feature: index, position };
        match of.need(key) {
            Some(need) => needs.push(need),
            None => unmeasured.push(job.surface_name(key)),
        }
    }
    let largest =
        |steps: Vec<Option<Exact>>| steps.into_iter().collect::<Option<Vec<Exact>>>()?.into_iter().max();
    let step = largest(needs.iter().map(|need| need.safe_step).collect()).map(|s| word(feature, s));
    let optimistic =
        largest(needs.iter().map(|need| need.optimistic_step).collect()).map(|s| word(feature, s));
    Some(GroupPlan {
        feature: index,
        group: feature.group.clone(),
        needs,
        because,
        unmeasured,
        step,
        optimistic,
    })
}

/// A step of a feature in words.
pub(super) fn word(feature: &Feature, step: Exact) -> SizeWord {
    if feature.shape == Shape::Bore { SizeWord::Over(step) } else { SizeWord::Under(step) }
}

/// Positions of the feature with a standing verdict beyond its limit, or with a score, before any work on them.
fn beyond(job: &Job, judgement: &Judgement, feature: usize) -> Vec<String> {
    let as_found = |verdict: &&Verdict| {
        verdict.key.surface.feature == feature && verdict.key.condition.operations() == 0
    };
    let mut names: BTreeSet<String> =
        judgement.standing().filter(as_found).filter(|v| v.is_beyond()).map(|v| v.name.clone()).collect();
    let untouched =
        |key: &SurfaceKey| job.surfaces.get(key).is_some_and(|surface| surface.done_now().next().is_none());
    let scores = job.findings.iter().filter(|finding| finding.stands).filter_map(|f| f.score.as_ref());
    let scored = scores.map(|score| score.surface).filter(|key| key.feature == feature && untouched(key));
    names.extend(scored.map(|key| job.surface_name(key)));
    names.into_iter().collect()
}
