//! What one surface needs to come out whole: from its readings, its scores, its run-out.

use crate::facts::{HouseRules, SizeWord};
use crate::judgement::ReadingRef;
use crate::metrology::Exact;
use crate::planning::clean_up::{CleanUp, Estimated, Spot, clean_up, cleans_up, smallest_step};
use crate::planning::readings::Readings;
use crate::sheets::{Characteristic, Feature, Limits, Shape, SizeSeries};
use crate::shop::{Job, Place, Reading, ReadingSet, Score, SetKey, Surface, SurfaceKey};
use std::collections::BTreeMap;

/// What one position of a group needs.
#[derive(Clone, Debug)]
pub struct Need {
    /// Which surface.
    pub surface: SurfaceKey,
    /// `main journal 3`.
    pub name: String,
    /// The size it has now.
    pub in_hand: SizeWord,
    /// The unworn size that was used.
    pub original: Exact,
    /// It was read on an unworn band; else a new limit stood in.
    pub original_read: bool,
    /// The largest reading of a bore, the smallest of a shaft.
    pub worst: Exact,
    /// The deepest score, which counts twice.
    pub score: Option<Exact>,
    /// A score lies somewhere that nobody said: the worst reading stood for its place.
    pub score_anywhere: bool,
    /// What it runs out, which stays in it unless it is straightened; `None` where nobody read it.
    pub run_out: Option<Exact>,
    /// The estimates.
    pub clean_up: CleanUp,
    /// Their U (k = 2), millimetres, safe and optimistic; `None` where no gauge was named.
    pub expanded: Option<(f64, f64)>,
    /// Smallest step that cleans up safely, at the far end of its uncertainty; `None` when none does.
    pub safe_step: Option<Exact>,
    /// Smallest step that may do: on the optimistic estimate.
    pub optimistic_step: Option<Exact>,
    /// The readings.
    pub readings: Vec<ReadingRef>,
    /// Readings that are questioned and do not count.
    pub questioned: usize,
}

impl Need {
    /// Does it come out whole, safely, at these finished limits?
    #[must_use]
    pub fn cleans_up_at(&self, shape: Shape, finished: Limits) -> bool {
        let far = self.expanded.map_or(0.0, |(safe, _)| safe);
        cleans_up(shape, finished, Estimated { size: self.clean_up.safe, expanded: far })
    }

    /// May it come out whole there, on the worn axis?
    #[must_use]
    pub fn may_clean_up_at(&self, shape: Shape, finished: Limits) -> bool {
        cleans_up(shape, finished, Estimated { size: self.clean_up.optimistic, expanded: 0.0 })
    }
}

/// What is the same for all positions of a feature.
pub(super) struct Needs<'a> {
    readings: &'a Readings<'a>,
    feature: &'a Feature,
    series: &'a SizeSeries,
    stock: Exact,
}

/// The places of a surface that count, worn and unworn.
struct Places<'a> {
    worn: Vec<(Place, Exact)>,
    unworn: Vec<Exact>,
    used: Vec<&'a Reading>,
}

impl<'a> Needs<'a> {
    /// `None` of a feature that has no sizes, and where the shop has no clean-up stock for its shape.
    pub(super) fn of(readings: &'a Readings<'a>, feature: &'a Feature) -> Option<Self> {
        let series = feature.sizes.as_ref()?;
        let rules = readings.job.rules.as_deref();
        let stock = rules.and_then(|rules: &HouseRules| rules.stock_for(feature.shape))?;
        Some(Self { readings, feature, series, stock: stock.exact() })
    }

    /// What a surface needs; `None` when nothing was measured on it since its last work.
    pub(super) fn need(&self, key: SurfaceKey) -> Option<Need> {
        let surface: &Surface = self.readings.job.surfaces.get(&key)?;
        let (_, set) = surface.present()?;
        // What was cut after it was found is gone with the metal, or it is found again.
        let untouched = surface.done_now().next().is_none();
        self.need_in(key, set, untouched)
    }

    /// What it needed when a set of its readings was taken, with the scores that were on it, and what it ran out as it came
    /// in, where no work had been done.
    pub(super) fn need_in(&self, key: SurfaceKey, set: &ReadingSet, untouched: bool) -> Option<Need> {
        let job = self.readings.job;
        let places = self.places(set);
        let in_hand = set.basis.unwrap_or(SizeWord::Standard);
        let limits = self.feature.new_limits(in_hand.step())?;
        // The direction that asks for more metal: a small original of a bore, a large one of a shaft.
        let (read, assumed) = match self.feature.shape {
            Shape::Bore => (places.unworn.iter().copied().min(), limits.min?),
            Shape::Shaft | Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => {
                (places.unworn.iter().copied().max(), limits.max?)
            }
        };
        let original = read.unwrap_or(assumed);
        let scores: Vec<&Score> = self.scores(key).filter(|_| untouched).collect();
        let spots = self.spots(&places.worn, &scores)?;
        let run_out = self.run_out(key, &places.worn, untouched);
        let taken = run_out.unwrap_or(Exact::ZERO);
        let estimates = clean_up(self.feature.shape, &spots, original, self.stock, taken)?;
        let within = scores.iter().map(|score| score.within.to_mm()).fold(0.0, f64::max);
        let expanded = expanded(&places.used, read.is_some(), within);
        let far = expanded.map_or(0.0, |(safe, _)| safe);
        let step = |size: Exact, expanded: f64| {
            smallest_step(self.series, self.feature.shape, Estimated { size, expanded }, in_hand.step())
        };
        Some(Need {
            surface: key,
            name: job.surface_name(key),
            in_hand,
            original,
            original_read: read.is_some(),
            worst: self.worst(&places.worn)?,
            score: scores.iter().map(|score| score.depth).max(),
            score_anywhere: scores.iter().any(|score| score.station.is_none()),
            run_out,
            clean_up: estimates,
            expanded,
            safe_step: step(estimates.safe, far),
            optimistic_step: step(estimates.optimistic, 0.0),
            readings: places.used.iter().map(|r| ReadingRef { fact: r.fact, row: r.row }).collect(),
            questioned: set.readings.values().map(Vec::len).sum::<usize>() - places.used.len(),
        })
    }

    fn places<'s>(&self, set: &'s ReadingSet) -> Places<'s> {
        let mut places = Places { worn: Vec::new(), unworn: Vec::new(), used: Vec::new() };
        for read in self.readings.places(set) {
            if read.place.station < self.feature.stations.len() {
                places.worn.push((read.place, read.mean));
            } else {
                places.unworn.push(read.mean);
            }
            places.used.extend(read.readings);
        }
        places
    }

    fn worst(&self, worn: &[(Place, Exact)]) -> Option<Exact> {
        let sizes = worn.iter().map(|(_, size)| *size);
        if self.feature.shape == Shape::Bore { sizes.max() } else { sizes.min() }
    }

    /// The diameters with the scores on them. A score whose place has no reading lies where the surface is worst.
    fn spots(&self, worn: &[(Place, Exact)], scores: &[&Score]) -> Option<Vec<Spot>> {
        let worst = self.worst(worn)?;
        let mut spots: Vec<Spot> =
            worn.iter().map(|(_, diameter)| Spot { diameter: *diameter, score: Exact::ZERO }).collect();
        for score in scores {
            let there: Vec<(Place, Exact)> = worn
                .iter()
                .filter(|(place, _)| {
                    score.station == Some(place.station)
                        && score.direction.is_none_or(|direction| direction == place.direction)
                })
                .copied()
                .collect();
            let diameter = self.worst(&there).unwrap_or(worst);
            spots.push(Spot { diameter, score: score.depth });
        }
        Some(spots)
    }

    /// Scores on the piece that is there now.
    fn scores(&self, key: SurfaceKey) -> impl Iterator<Item = &'a Score> {
        let standing = self.readings.job.findings.iter().filter(|finding| finding.stands);
        standing.filter_map(|finding| finding.score.as_ref()).filter(move |score| score.surface == key)
    }

    /// What the shaft runs out here, as its indicator says where the sheet has one run on this feature, with the ovality of
    /// the journal taken out of it.
    fn run_out(&self, key: SurfaceKey, worn: &[(Place, Exact)], untouched: bool) -> Option<Exact> {
        let (_, _, set) = swing_of(self.readings.job, key, untouched)?;
        let swing = self.readings.places(set).into_iter().map(|read| read.mean).max()?;
        let mut by_station: BTreeMap<usize, (Exact, Exact)> = BTreeMap::new();
        for (place, size) in worn {
            let ends = by_station.entry(place.station).or_insert((*size, *size));
            *ends = (ends.0.min(*size), ends.1.max(*size));
        }
        let oval = by_station.values().map(|(low, high)| *high - *low).max().unwrap_or(Exact::ZERO);
        Some((swing - oval).max(Exact::ZERO))
    }
}

/// The set of readings that says what a shaft runs out at a surface: as it came in, or as it is now. `None` where the sheet
/// has no indicator run there, or nobody read it.
pub(super) fn swing_of(
    job: &Job,
    key: SurfaceKey,
    untouched: bool,
) -> Option<(SurfaceKey, SetKey, &ReadingSet)> {
    let position = job.feature(key)?.positions.get(key.position)?;
    let sheet = job.sheet.as_deref()?;
    let swings = |feature: &Feature| feature.swings_on == Some(key.feature);
    let (index, feature) = sheet.features.iter().enumerate().find(|(_, feature)| swings(feature))?;
    feature.row(Characteristic::RunOut)?;
    let at = SurfaceKey { feature: index, position: feature.position(position)? };
    let surface = job.surfaces.get(&at)?;
    let as_found = |(set, _): &(&SetKey, &ReadingSet)| {
        set.instance == surface.instance && set.condition.operations() == 0 && !set.condition.is_at_assembly()
    };
    let (set, readings) = if untouched { surface.sets.iter().rfind(as_found) } else { surface.present() }?;
    Some((at, *set, readings))
}

/// U (k = 2) of the safe and of the optimistic estimate, millimetres. The safe one is twice the worn size less the
/// unworn one: with one setting of the gauge for both what is shared counts once and each reading's own by the root of five;
/// where a limit stands in for the unworn size all of it counts twice (common practice). A score's depth is a rectangle
/// of the half-width that was given (JCGM 100, 4.3.7) and counts twice.
fn expanded(used: &[&Reading], original_read: bool, within: f64) -> Option<(f64, f64)> {
    let each: Vec<_> = used.iter().map(|r| r.gauge.as_ref()?.one_reading()).collect::<Option<Vec<_>>>()?;
    let worst = each.into_iter().max_by(|a, b| a.combined().total_cmp(&b.combined()))?;
    let score = 2.0 * within / 3_f64.sqrt();
    let one = worst.combined();
    let safe = if original_read { (5.0_f64.sqrt() * worst.own()).hypot(worst.shared()) } else { 2.0 * one };
    Some((2.0 * safe.hypot(score), 2.0 * one.hypot(score)))
}
