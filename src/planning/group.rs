//! One size for a whole group.

use crate::facts::SizeWord;
use crate::judgement::{Judgement, ReadingRef, Verdict};
use crate::metrology::Exact;
use crate::planning::clean_up::{CleanUp, clean_up, smallest_step};
use crate::sheets::{Feature, Shape, SizeSeries};
use crate::shop::{Job, Surface, SurfaceKey};
use std::collections::BTreeSet;

/// What one position of a group needs.
#[derive(Clone, Debug)]
pub struct Need {
    /// `main journal 3`.
    pub name: String,
    /// The unworn size that was used.
    pub original: Exact,
    /// It was read on an unworn band; else a new limit stood in.
    pub original_read: bool,
    /// The estimates.
    pub clean_up: CleanUp,
    /// Smallest step that cleans up safely; `None` when none does.
    pub safe_step: Option<Exact>,
    /// Smallest step on the optimistic estimate.
    pub optimistic_step: Option<Exact>,
}

/// What is proposed for one group.
#[derive(Clone, Debug)]
pub struct GroupPlan {
    /// Index of the feature in the sheet.
    pub feature: usize,
    /// The group's name.
    pub group: String,
    /// What each measured position needs.
    pub needs: Vec<Need>,
    /// Positions that are beyond a limit as found.
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
    let series = feature.sizes.as_ref()?;
    let because = beyond(judgement, index);
    if because.is_empty() {
        return None;
    }
    let stock = job.rules.as_ref()?.stock_for(feature.shape)?.exact();
    let questioned: BTreeSet<ReadingRef> = judgement.questions.iter().map(|q| q.reading).collect();
    let (mut needs, mut unmeasured) = (Vec::new(), Vec::new());
    for position in 0..feature.positions.len() {
        let key = SurfaceKey { feature: index, position };
        let surface = job.surfaces.get(&key)?;
        match need(job, feature, series, key, surface, &questioned, stock) {
            Some(need) => needs.push(need),
            None => unmeasured.push(job.surface_name(key)),
        }
    }
    let largest =
        |steps: Vec<Option<Exact>>| steps.into_iter().collect::<Option<Vec<Exact>>>()?.into_iter().max();
    let word =
        |step: Exact| if feature.shape == Shape::Bore { SizeWord::Over(step) } else { SizeWord::Under(step) };
    let step = largest(needs.iter().map(|need| need.safe_step).collect()).map(word);
    let optimistic = largest(needs.iter().map(|need| need.optimistic_step).collect()).map(word);
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

/// Positions of the feature with a standing verdict beyond its limit, before any work on them.
fn beyond(judgement: &Judgement, feature: usize) -> Vec<String> {
    let as_found = |verdict: &&Verdict| {
        verdict.key.surface.feature == feature && verdict.key.condition.operations() == 0
    };
    let names: BTreeSet<String> =
        judgement.standing().filter(as_found).filter(|v| v.is_beyond()).map(|v| v.name.clone()).collect();
    names.into_iter().collect()
}

fn need(
    job: &Job,
    feature: &Feature,
    series: &SizeSeries,
    key: SurfaceKey,
    surface: &Surface,
    questioned: &BTreeSet<ReadingRef>,
    stock: Exact,
) -> Option<Need> {
    let (_, set) = surface.present()?;
    let (mut worn, mut unworn) = (Vec::new(), Vec::new());
    for (place, readings) in &set.readings {
        let counting =
            readings.iter().filter(|r| !questioned.contains(&ReadingRef { fact: r.fact, row: r.row }));
        let values: Vec<Exact> = counting.map(|reading| reading.value).collect();
        let judged = place.station < feature.stations.len();
        if judged { worn.extend(Exact::mean(&values)) } else { unworn.extend(Exact::mean(&values)) }
    }
    let in_hand = set.basis.and_then(SizeWord::step);
    let limits = feature.new_limits(in_hand)?;
    // The direction that asks for more metal: a small original of a bore, a large one of a shaft.
    let (read, assumed) = match feature.shape {
        Shape::Bore => (unworn.iter().copied().min(), limits.min?),
        Shape::Shaft | Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => {
            (unworn.iter().copied().max(), limits.max?)
        }
    };
    let original = read.unwrap_or(assumed);
    let estimates = clean_up(feature.shape, &worn, original, stock)?;
    Some(Need {
        name: job.surface_name(key),
        original,
        original_read: read.is_some(),
        clean_up: estimates,
        safe_step: smallest_step(series, feature.shape, estimates.safe, in_hand),
        optimistic_step: smallest_step(series, feature.shape, estimates.optimistic, in_hand),
    })
}
