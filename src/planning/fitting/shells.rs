//! Shells to journals: which wall at each journal of a pair.
//!
//! Possible at a journal are new pairs of shells: of the size it was ground to, and for a journal that was never ground
//! also of the select-fit sizes, at the walls the sheet gives or as they were measured. A regrind size is never fitted
//! as a select-fit, nor the other way round.
//!
//! One size on all journals of the group comes first. Another size at one journal has to earn its place: it
//! brings a clearance inside new. Among what is left, the fewest journals differ, then the fewest half steps
//! lie, then the worst clearance lies nearest the middle of the window, then all of them do (trade notes B5, E1).

use crate::facts::SizeWord;
use crate::judgement::{Band, Judged, Measured, SizeFrom, Tried};
use crate::metrology::Exact;
use crate::planning::fitting::graded::GradedShell;
use crate::planning::fitting::half_steps::HalfSteps;
use crate::planning::fitting::sizes::{Sized, both, middle, new_of, sized};
use crate::sheets::{Feature, Limits, Member, Pair, Sheet};
use crate::shop::{Job, SurfaceKey};
use std::collections::BTreeSet;

/// Shells of one pair of the sheet.
#[derive(Clone, Debug)]
pub struct ShellSet {
    /// The pair.
    pub pair: String,
    /// The part kind of the shells.
    pub part: String,
    /// The window of the clearance, new.
    pub window: Limits,
    /// Stations of the walls, in the sheet's words: `upper`, `lower`.
    pub stations: Vec<String>,
    /// The size that most journals get.
    pub common: Option<SizeWord>,
    /// Every journal that is known, in the sheet's order.
    pub places: Vec<ShellPlace>,
    /// What has to be measured before the others can be answered.
    pub unmeasured: Vec<String>,
    /// Half steps of this pair.
    pub half_steps: HalfSteps,
    /// What the sheet's table of grades gives, where it has one.
    pub graded: Vec<GradedShell>,
}

/// Shells of one journal.
#[derive(Clone, Debug)]
pub struct ShellPlace {
    /// Index of the position.
    pub position: usize,
    /// `main clearance 3`.
    pub name: String,
    /// Smallest and largest housing that counts.
    pub outer: (Exact, Exact),
    /// Smallest and largest journal that counts.
    pub inner: (Exact, Exact),
    /// The journal is as it will be ground, not as it was read.
    pub to_be_ground: bool,
    /// What to fit.
    pub chosen: ShellChoice,
    /// Why.
    pub why: Why,
    /// What else is possible, in the order of the sizes.
    pub others: Vec<ShellChoice>,
}

/// Two shells and what they would give.
#[derive(Clone, Debug)]
pub struct ShellChoice {
    /// Size by station.
    pub sizes: Vec<SizeWord>,
    /// They were measured; else any shells of these sizes are meant.
    pub measured: bool,
    /// What they come to.
    pub expected: Judged,
}

/// Why these shells.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// One size for all.
    Uniform,
    /// Another size than most: theirs would lie outside new here.
    BringsInside,
    /// Nothing that may be fitted comes inside new.
    NothingFits {
        /// The next size to grind to; `None` when there is none.
        grind_to: Option<SizeWord>,
    },
}

impl ShellChoice {
    /// Loosest and tightest inside new, by number.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.expected.band == Band::New
    }

    /// Tightest and loosest.
    #[must_use]
    pub fn ends(&self) -> (Exact, Exact) {
        let (a, b) = (self.expected.value, self.expected.other.unwrap_or(self.expected.value));
        (a.min(b), a.max(b))
    }

    /// One size for both shells.
    #[must_use]
    pub fn common(&self) -> Option<SizeWord> {
        let first = *self.sizes.first()?;
        self.sizes.iter().all(|size| *size == first).then_some(first)
    }

    /// How far the middle of it lies from the middle of the window.
    fn off(&self, window: (Exact, Exact)) -> Exact {
        (middle(self.ends()) - middle(window)).abs()
    }
}

impl ShellSet {
    /// Places with the least sure first, then the furthest from the middle.
    #[must_use]
    pub fn worst_first(&self) -> Vec<&ShellPlace> {
        let window = self.window.min.zip(self.window.max);
        let off = |place: &ShellPlace| window.map_or(Exact::ZERO, |window| place.chosen.off(window));
        let mut places: Vec<&ShellPlace> = self.places.iter().collect();
        places.sort_by(|a, b| {
            let sure = |place: &ShellPlace| place.chosen.expected.probability.unwrap_or(0.0);
            a.chosen.fits().cmp(&b.chosen.fits()).then(sure(a).total_cmp(&sure(b))).then(off(b).cmp(&off(a)))
        });
        places
    }
}

/// Shells of every pair with walls that concerns the engine.
pub(super) fn fit(job: &Job, sheet: &Sheet, measured: &Measured<'_>) -> Vec<ShellSet> {
    let pairs = sheet.pairs.iter().enumerate();
    pairs.filter_map(|(index, pair)| Bench::of(job, sheet, measured, index, pair)?.set()).collect()
}

/// One pair on the bench.
struct Bench<'a> {
    job: &'a Job,
    measured: &'a Measured<'a>,
    pair: &'a Pair,
    walls: &'a Member,
    wall: &'a Feature,
    inner: &'a Feature,
    window: (Exact, Exact),
    half_steps: HalfSteps,
}

/// A journal and everything that may be fitted there.
struct Journal {
    position: usize,
    outer: Sized,
    inner: Sized,
    choices: Vec<ShellChoice>,
}

impl<'a> Bench<'a> {
    fn of(
        job: &'a Job,
        sheet: &'a Sheet,
        measured: &'a Measured<'a>,
        index: usize,
        pair: &'a Pair,
    ) -> Option<Self> {
        let walls = pair.walls.as_ref()?;
        let (wall, inner) = (sheet.features.get(walls.feature)?, sheet.features.get(pair.inner.feature)?);
        let part = sheet.parts.get(wall.part).filter(|part| job.concerns(&part.scopes))?;
        let window = both(pair.row.new)?;
        part.renewed.then_some(Self {
            job,
            measured,
            pair,
            walls,
            wall,
            inner,
            window: (window.min?, window.max?),
            half_steps: HalfSteps::of(job, index, pair),
        })
    }

    fn set(self) -> Option<ShellSet> {
        let (mut journals, mut unmeasured) = (Vec::new(), BTreeSet::new());
        for position in 0..self.inner.positions.len() {
            match self.journal(position) {
                Ok(journal) => journals.push(journal),
                Err(missing) => unmeasured.extend(missing),
            }
        }
        if journals.is_empty() && unmeasured.is_empty() {
            return None;
        }
        let (common, chosen) = self.choose(&journals);
        let places =
            journals.into_iter().zip(chosen).filter_map(|(j, at)| self.place(j, at, common)).collect();
        Some(ShellSet {
            pair: self.pair.key.clone(),
            part: self.job.sheet.as_ref()?.parts.get(self.wall.part)?.key.clone(),
            window: self.pair.row.new?,
            stations: self.stations().into_iter().map(|at| self.wall.station_name(at).to_owned()).collect(),
            common,
            places,
            unmeasured: unmeasured.into_iter().collect(),
            half_steps: self.half_steps,
            graded: Vec::new(),
        })
    }

    fn stations(&self) -> Vec<usize> {
        self.walls.stations_of(self.wall)
    }

    fn journal(&self, position: usize) -> Result<Journal, Vec<String>> {
        let of = |member: &Member| {
            let key = SurfaceKey { feature: member.feature, position };
            sized(self.job, self.measured, member, position).ok_or_else(|| self.job.surface_name(key))
        };
        match (of(&self.pair.outer), of(&self.pair.inner)) {
            (Ok(outer), Ok(inner)) => {
                let choices = self.choices(position, &outer, &inner);
                Ok(Journal { position, outer, inner, choices })
            }
            (outer, inner) => Err(outer.err().into_iter().chain(inner.err()).collect()),
        }
    }

    /// Sizes that may be fitted at a journal: its own, and for one that was never ground the select-fit ones.
    fn sizes(&self, journal: SizeWord) -> Vec<SizeWord> {
        let select = self.wall.sizes.iter().flat_map(|series| &series.select_fit).copied();
        match journal {
            SizeWord::Standard => {
                std::iter::once(SizeWord::Standard).chain(select.map(SizeWord::Under)).collect()
            }
            SizeWord::Under(_) | SizeWord::Over(_) => vec![journal],
        }
    }

    fn choices(&self, position: usize, outer: &Sized, inner: &Sized) -> Vec<ShellChoice> {
        let here = self.lying(position);
        let mut choices = Vec::new();
        for sizes in self.combinations(position, inner.size) {
            let is_here = here.as_ref() == Some(&sizes);
            if !is_here && !sizes.iter().all(|size| self.is_to_be_had(*size)) {
                continue;
            }
            choices.extend(self.choice(position, (outer, inner), sizes, is_here));
        }
        choices
    }

    fn combinations(&self, position: usize, journal: SizeWord) -> Vec<Vec<SizeWord>> {
        let (sizes, stations) = (self.sizes(journal), self.stations().len());
        let uniform = sizes.iter().map(|size| vec![*size; stations]);
        uniform.chain(self.half_steps.between(position, &sizes)).collect()
    }

    fn choice(
        &self,
        position: usize,
        (outer, inner): (&Sized, &Sized),
        sizes: Vec<SizeWord>,
        measured: bool,
    ) -> Option<ShellChoice> {
        let wall = |size: &SizeWord| {
            if measured {
                Some(SizeFrom::Read(position))
            } else {
                new_of(self.wall, *size).map(SizeFrom::Within)
            }
        };
        let walls = sizes.iter().map(wall).collect::<Option<Vec<_>>>()?;
        let tried = Tried { outer: outer.from, walls, inner: inner.from };
        let expected = self.measured.expected(self.pair, &tried, true)?;
        Some(ShellChoice { sizes, measured, expected })
    }

    /// Sizes of the new shells that were measured at this position, by station: the one whose walls hold what was read,
    /// else the one they are stamped. Old shells are never fitted again.
    fn lying(&self, position: usize) -> Option<Vec<SizeWord>> {
        let key = SurfaceKey { feature: self.walls.feature, position };
        let surface = self.job.surfaces.get(&key)?;
        self.measured.ends(self.walls, position)?;
        if surface.instance == 1 && !self.measured.is_from_assembly(key) {
            return None;
        }
        let read = self.measured.by_station(key);
        let of_station = |station: &usize| {
            let (low, high) = *read.get(station)?;
            let holds = |size: &SizeWord| {
                new_of(self.wall, *size)
                    .is_some_and(|l| l.outside(low).is_none() && l.outside(high).is_none())
            };
            let stamped = surface.basis.unwrap_or(SizeWord::Standard);
            let known = std::iter::once(stamped).chain(self.all_sizes());
            Some(known.into_iter().find(holds).unwrap_or(stamped))
        };
        self.stations().iter().map(of_station).collect()
    }

    fn all_sizes(&self) -> impl Iterator<Item = SizeWord> + '_ {
        let steps = self.wall.sizes.iter().flat_map(|series| series.select_fit.iter().chain(&series.steps));
        std::iter::once(SizeWord::Standard).chain(steps.map(|step| SizeWord::Under(*step)))
    }

    /// Nobody said that it cannot be had.
    fn is_to_be_had(&self, size: SizeWord) -> bool {
        let part = self.job.sheet.as_ref().and_then(|sheet| sheet.parts.get(self.wall.part));
        part.and_then(|part| self.job.books.supply(&part.key, Some(size)))
            .is_none_or(|now| now.is_obtainable())
    }

    /// The common size, and the choice at each journal. Once a common size is fixed journals do not touch each other, so
    /// that going through every size is going through every combination.
    fn choose(&self, journals: &[Journal]) -> (Option<SizeWord>, Vec<Option<usize>>) {
        let sizes: BTreeSet<SizeWord> =
            journals.iter().flat_map(|j| &j.choices).filter_map(ShellChoice::common).collect();
        let sets = sizes.into_iter().map(|common| {
            let chosen: Vec<_> = journals.iter().map(|journal| self.best(journal, common)).collect();
            (self.rank(journals, &chosen, common), (Some(common), chosen))
        });
        let best = sets.min_by(|(a, _), (b, _)| a.cmp(b));
        best.map_or_else(|| (None, vec![None; journals.len()]), |(_, set)| set)
    }

    /// The common size where it fits or nothing does; else what fits, whole steps first, nearest the middle.
    fn best(&self, journal: &Journal, common: SizeWord) -> Option<usize> {
        let choices = || journal.choices.iter().enumerate();
        let own = choices().find(|(_, choice)| choice.common() == Some(common));
        if let Some((at, _)) = own.filter(|(_, choice)| choice.fits()) {
            return Some(at);
        }
        let by = |choice: &ShellChoice| (choice.common().is_none(), choice.off(self.window));
        let nearest = |a: &(usize, &ShellChoice), b: &(usize, &ShellChoice)| by(a.1).cmp(&by(b.1));
        let fitting = choices().filter(|(_, choice)| choice.fits()).min_by(nearest);
        fitting.or(own).or_else(|| choices().min_by(nearest)).map(|(at, _)| at)
    }

    /// How good a set is, the smaller the better.
    fn rank(
        &self,
        journals: &[Journal],
        chosen: &[Option<usize>],
        common: SizeWord,
    ) -> (usize, usize, usize, Exact, Exact) {
        let (mut outside, mut differ, mut half, mut worst, mut sum) = (0, 0, 0, Exact::ZERO, Exact::ZERO);
        for (journal, at) in journals.iter().zip(chosen) {
            let Some(choice) = at.and_then(|at| journal.choices.get(at)) else { continue };
            outside += usize::from(!choice.fits());
            differ += usize::from(choice.common() != Some(common));
            half += usize::from(choice.common().is_none());
            let off = choice.off(self.window);
            worst = worst.max(off);
            sum = sum + off;
        }
        (outside, differ, half, worst, sum)
    }

    fn place(&self, journal: Journal, at: Option<usize>, common: Option<SizeWord>) -> Option<ShellPlace> {
        let mut others = journal.choices;
        let at = at.filter(|at| *at < others.len())?;
        let chosen = others.remove(at);
        let why = if !chosen.fits() {
            Why::NothingFits { grind_to: self.next_size(journal.inner.size) }
        } else if chosen.common() == common {
            Why::Uniform
        } else {
            Why::BringsInside
        };
        Some(ShellPlace {
            position: journal.position,
            name: format!("{} {}", self.pair.key, self.inner.positions.get(journal.position)?),
            outer: journal.outer.ends,
            inner: journal.inner.ends,
            to_be_ground: matches!(journal.inner.from, SizeFrom::Within(_)),
            chosen,
            why,
            others,
        })
    }

    /// The next size to grind the journal to.
    fn next_size(&self, journal: SizeWord) -> Option<SizeWord> {
        let past = journal.step().unwrap_or(Exact::ZERO);
        let steps = self.inner.sizes.iter().flat_map(|series| series.steps.iter().copied());
        steps.filter(|step| past < *step).min().map(SizeWord::Under)
    }
}
