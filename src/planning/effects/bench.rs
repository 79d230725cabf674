//! What every effect asks: how much comes off what, and what is known of a place.

use super::effect::{Effect, Range, Rule, What};
use super::known::{Known, judged};
use super::{Cut, CutTo};
use crate::facts::SizeWord;
use crate::judgement::Judgement;
use crate::metrology::Exact;
use crate::sheets::{Feature, Geometry, Role, Shape, Sheet, nominal, same_name};
use crate::shop::{Job, Surface, SurfaceKey};
use std::collections::BTreeMap;

/// A job on the bench with what would be cut, cuts of one surface added up.
pub(super) struct Bench<'a> {
    pub(super) job: &'a Job,
    pub(super) judgement: &'a Judgement,
    pub(super) sheet: &'a Sheet,
    pub(super) removed: BTreeMap<SurfaceKey, Exact>,
    sizes: BTreeMap<SurfaceKey, SizeWord>,
}

impl<'a> Bench<'a> {
    pub(super) fn of(job: &'a Job, judgement: &'a Judgement, sheet: &'a Sheet, cuts: &[Cut]) -> Self {
        let (mut removed, mut sizes) = (BTreeMap::new(), BTreeMap::new());
        for cut in cuts {
            match cut.to {
                CutTo::Removed(more) => {
                    let total = removed.entry(cut.surface).or_insert(Exact::ZERO);
                    *total = *total + more;
                }
                // Of two sizes for one surface the one that takes more is what is left.
                CutTo::Size(size) => {
                    let kept = sizes.entry(cut.surface).or_insert(size);
                    *kept = (*kept).max(size);
                }
            }
        }
        Self { job, judgement, sheet, removed, sizes }
    }

    pub(super) fn feature(&self, index: usize) -> Option<&'a Feature> {
        self.sheet.features.get(index)
    }

    pub(super) fn role(&self, geometry: &Geometry, role: Role) -> Option<(usize, &'a Feature)> {
        let index = geometry.of(role)?;
        Some((index, self.feature(index)?))
    }

    /// Names of the cylinders.
    pub(super) fn cylinders(&self, geometry: &Geometry) -> &'a [String] {
        self.role(geometry, Role::Bore).map_or(&[], |(_, bores)| bores.positions.as_slice())
    }

    /// Position of the deck and the head a cylinder has.
    pub(super) fn bank(geometry: &Geometry, cylinder: usize) -> usize {
        geometry.banks.iter().position(|bank| bank.cylinders.contains(&cylinder)).unwrap_or(0)
    }

    /// Decks and heads by index with their names; one without a name where there is one.
    pub(super) fn banks(geometry: &Geometry) -> Vec<String> {
        if geometry.banks.is_empty() {
            vec![String::new()]
        } else {
            geometry.banks.iter().map(|bank| bank.name.clone()).collect()
        }
    }

    /// What would come off the feature of a role at a position.
    pub(super) fn off(&self, geometry: &Geometry, role: Role, position: usize) -> Exact {
        let key = geometry.of(role).map(|feature| SurfaceKey { feature, position });
        key.and_then(|key| self.removed.get(&key)).copied().unwrap_or(Exact::ZERO)
    }

    /// What was already taken off it, as far as that was said.
    pub(super) fn done(&self, key: SurfaceKey) -> Exact {
        self.job.surfaces.get(&key).map_or(Exact::ZERO, Surface::removed)
    }

    /// How much closer a bank's head comes to the crank: head and deck cut, and the crank lifted by a line bore.
    pub(super) fn closer(&self, geometry: &Geometry, bank: usize) -> Range {
        let down = self.down(geometry, bank);
        Range { low: down, high: down + self.rise(geometry) }
    }

    /// How much closer head and deck cuts bring a bank's head.
    pub(super) fn down(&self, geometry: &Geometry, bank: usize) -> Exact {
        self.off(geometry, Role::HeadThickness, bank) + self.off(geometry, Role::DeckHeight, bank)
    }

    /// How far a line bore lifts the crank at most: half of what comes off the faces of the caps, where most does.
    pub(super) fn rise(&self, geometry: &Geometry) -> Exact {
        let mains = geometry.of(Role::MainHousing);
        let cuts = self.removed.iter().filter(|(key, _)| Some(key.feature) == mains);
        cuts.map(|(_, off)| off.part(1, 2)).max().unwrap_or(Exact::ZERO)
    }

    /// By how much a rod becomes shorter at most.
    pub(super) fn shorter(&self, geometry: &Geometry, cylinder: usize) -> Exact {
        self.off(geometry, Role::RodHousing, cylinder).part(1, 2)
    }

    /// Step from standard a bore has now, and the one it would have.
    pub(super) fn bore_steps(&self, geometry: &Geometry, cylinder: usize) -> Option<(Exact, Exact)> {
        let key = SurfaceKey { feature: geometry.of(Role::Bore)?, position: cylinder };
        let step = |size: Option<SizeWord>| size.and_then(SizeWord::step).unwrap_or(Exact::ZERO);
        let now = step(self.job.surfaces.get(&key).and_then(|surface| surface.basis));
        let then = self.sizes.get(&key).map_or(now, |size| step(Some(*size)));
        Some((now, then))
    }

    /// Cylinders whose bore would be bigger, with both steps.
    pub(super) fn bored(&self, geometry: &Geometry) -> Vec<(usize, Exact, Exact)> {
        let steps = |cylinder| self.bore_steps(geometry, cylinder).map(|(now, then)| (cylinder, now, then));
        let all = (0..self.cylinders(geometry).len()).filter_map(steps);
        all.filter(|(_, now, then)| now < then).collect()
    }

    /// What is known of a feature in its role: read, else as the sheet aims at it. What was already taken off a place
    /// that was not read since is the caller's to take off.
    pub(super) fn known(&self, geometry: &Geometry, role: Role, position: usize) -> Option<Known> {
        let (feature, of) = self.role(geometry, role)?;
        let key = SurfaceKey { feature, position };
        match judged(self.judgement, key, role.judged()) {
            Some(judged) => Some(Known { value: judged.value, read: true }),
            None => nominal(of, role.judged()).map(Known::nominal),
        }
    }

    /// Position of a valve in a feature that has one for each valve, or one for each cylinder.
    pub(super) fn valve_position(feature: &Feature, cylinder: &str, valve: &str) -> Option<usize> {
        let joined = format!("{cylinder} {valve}");
        let named = |name: &str| feature.positions.iter().position(|position| same_name(position, name));
        named(&joined).or_else(|| named(cylinder))
    }

    /// How much a valve sinks: what comes off its seat.
    pub(super) fn sunk(&self, geometry: &Geometry, cylinder: &str, valve: &crate::sheets::Valve) -> Exact {
        let recession = geometry.of(Role::Recession);
        let features = std::iter::once(valve.seat).chain(recession.filter(|index| *index != valve.seat));
        let off = features.filter_map(|feature| {
            let position = Self::valve_position(self.feature(feature)?, cylinder, &valve.name)?;
            self.removed.get(&SurfaceKey { feature, position }).copied()
        });
        off.fold(Exact::ZERO, |sum, more| sum + more)
    }

    /// One line where the sheet has no geometry and something is cut that would need it.
    pub(super) fn without_geometry(&self) -> Vec<Effect> {
        let is_bore = |key: &SurfaceKey| self.feature(key.feature).is_some_and(|f| f.shape == Shape::Bore);
        if self.removed.is_empty() && !self.sizes.keys().any(is_bore) {
            return Vec::new();
        }
        let lacks = "the sheet does not say its geometry (stroke, volumes, which feature is what): nothing but what \
                     is left could be computed. Add geometry to the sheet, or measure and work it out by hand";
        vec![Effect::missing(
            What::NotComputed,
            lacks,
            Rule("effects need the sheet's geometry", "house rule"),
        )]
    }
}
