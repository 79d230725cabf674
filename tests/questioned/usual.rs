//! What honest sets read, counted: how far readings of a feature are spread, and where those of each place lie. It says
//! which slips move a value enough to count, and which lead to where an honest reading might as well lie.

use crate::chance::Chance;
use crate::model::{Read, SCENES};
use crate::{Engine, Yard};
use std::collections::BTreeMap;

/// What honest readings of a feature are in a scene, about the size in hand.
pub struct Usual {
    /// Their standard deviation.
    pub spread: f64,
    /// At each place, the shortest range that 199 of 200 lie in.
    ranges: Vec<(f64, f64)>,
}

impl Usual {
    fn of(sets: &[Vec<f64>], judged: &[bool]) -> Self {
        let all: Vec<f64> = sets
            .iter()
            .flat_map(|set| set.iter().zip(judged).filter(|(_, judged)| **judged).map(|(v, _)| *v))
            .collect();
        #[allow(clippy::cast_precision_loss, reason = "few")]
        let n = all.len() as f64;
        let mean = all.iter().sum::<f64>() / n;
        let variance = all.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (n - 1.0);
        let range = |place: usize| {
            let mut values: Vec<f64> = sets.iter().map(|set| set[place]).collect();
            values.sort_by(f64::total_cmp);
            let inside = values.len() - values.len() / 200;
            let ranges = values.windows(inside).map(|some| (some[0], some[inside - 1]));
            ranges.min_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))).unwrap()
        };
        Self { spread: variance.sqrt(), ranges: (0..judged.len()).map(range).collect() }
    }

    /// Does every reading that was moved lie where honest ones of its place do?
    pub fn hides(&self, shift: f64, honest: &[Read], set: &[(Read, String)]) -> bool {
        let within = |(place, now): (usize, f64)| {
            let (low, high) = self.ranges[place];
            low - 1e-9 <= now && now <= high + 1e-9
        };
        let pairs = honest.iter().zip(set).enumerate();
        let moved = pairs.filter(|(_, (was, (now, _)))| (was.value - now.value).abs() > 1e-9);
        moved.map(|(place, (_, (now, _)))| (place, now.value - shift)).all(within)
    }
}

/// By sheet, scene and feature.
pub type Usuals = BTreeMap<(usize, usize, usize), Usual>;

pub fn usuals(yards: &[Yard], chance: &mut Chance) -> Usuals {
    let mut usuals = Usuals::new();
    for yard in yards {
        for (number, scene) in SCENES.into_iter().enumerate() {
            let mut seen: Vec<Vec<Vec<f64>>> = yard.features.iter().map(|_| Vec::new()).collect();
            for _ in 0..600 {
                let engine = Engine::new(yard, scene, chance);
                for (feature, sets) in seen.iter_mut().enumerate() {
                    let shift = engine.features[feature].shift(engine.steps[feature].as_deref());
                    let reads = engine.honest(feature, chance);
                    sets.push(reads.iter().map(|read| read.value - shift).collect());
                }
            }
            let engine = Engine::new(yard, scene, chance);
            for (feature, sets) in seen.iter().enumerate() {
                let unworn = &engine.features[feature].unworn;
                let reads = engine.honest(feature, chance);
                let judged: Vec<bool> = reads.iter().map(|read| !unworn.contains(&read.station)).collect();
                usuals.insert((yard.number, number, feature), Usual::of(sets, &judged));
            }
        }
    }
    usuals
}
