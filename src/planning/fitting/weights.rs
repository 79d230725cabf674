//! Weights of a set: matched to the lightest, since metal comes off and never on (trade notes E5).

use crate::judgement::Measured;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Feature, Sheet};
use crate::shop::{Job, SurfaceKey};

/// Weights of one feature.
#[derive(Clone, Debug)]
pub struct WeightSet {
    /// The feature.
    pub feature: String,
    /// Its unit.
    pub unit: Unit,
    /// The spread that is allowed.
    pub allowed: Exact,
    /// Heaviest less lightest.
    pub spread: Exact,
    /// Every weight, in the sheet's order.
    pub places: Vec<WeightPlace>,
    /// What is not weighed yet.
    pub unmeasured: Vec<String>,
}

/// One part's weight.
#[derive(Clone, Debug)]
pub struct WeightPlace {
    /// `piston weight 2`.
    pub name: String,
    /// What it weighs; the largest where it was weighed in several ways.
    pub weight: Exact,
    /// To take off until it weighs what the lightest does.
    pub to_lightest: Exact,
    /// To take off at least; nothing where it is inside the spread.
    pub at_least: Exact,
}

/// Weights of every feature whose spread the sheet limits and of which two are known.
pub(super) fn fit(job: &Job, sheet: &Sheet, measured: &Measured<'_>) -> Vec<WeightSet> {
    let features = sheet.features.iter().enumerate().filter(|(_, feature)| feature.unit == Unit::Gram);
    features.filter_map(|(index, feature)| set(job, measured, index, feature)).collect()
}

fn set(job: &Job, measured: &Measured<'_>, index: usize, feature: &Feature) -> Option<WeightSet> {
    let allowed = feature.row(Characteristic::Spread)?.new?.max?;
    let (mut weighed, mut unmeasured) = (Vec::new(), Vec::new());
    for position in 0..feature.positions.len() {
        let key = SurfaceKey { feature: index, position };
        match measured.by_station(key).into_values().map(|(_, most)| most).max() {
            Some(weight) => weighed.push((job.surface_name(key), weight)),
            None => unmeasured.push(job.surface_name(key)),
        }
    }
    let lightest = weighed.iter().map(|(_, weight)| *weight).min()?;
    let heaviest = weighed.iter().map(|(_, weight)| *weight).max()?;
    let place = |(name, weight): (String, Exact)| {
        let to_lightest = weight - lightest;
        WeightPlace { name, weight, to_lightest, at_least: (to_lightest - allowed).max(Exact::ZERO) }
    };
    (weighed.len() > 1).then(|| WeightSet {
        feature: feature.key.clone(),
        unit: feature.unit,
        allowed,
        spread: heaviest - lightest,
        places: weighed.into_iter().map(place).collect(),
        unmeasured,
    })
}
