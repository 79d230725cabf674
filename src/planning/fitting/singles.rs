//! New single parts to the bores they run in: pistons to cylinders, lifters, valves.
//!
//! Only new parts that are not fitted yet are free, and only the bores whose own part does not come back. A part is
//! taken as it was measured, else by the grade marked on it. What lies outside the limits is never paired: new limits
//! for a machined bore, those for reuse for one as found. Of what is left the sum of distances is least, each from the
//! tightest place to the middle of the new window (trade notes E3); a part stays where it is labelled unless that is better.

use crate::facts::PartState;
use crate::judgement::{Band, Judged, Measured, SizeFrom, Tried};
use crate::metrology::Exact;
use crate::planning::fitting::assign::assign;
use crate::planning::fitting::sizes::{Sized, both, middle, sized};
use crate::sheets::{Characteristic, Feature, Limits, Pair, Shape, Sheet, fold_name};
use crate::shop::{Job, SurfaceKey};

/// Single parts of one pair.
#[derive(Clone, Debug)]
pub struct SingleSet {
    /// The pair.
    pub pair: String,
    /// The part kind that is free.
    pub part: String,
    /// The window of the clearance, new.
    pub window: Limits,
    /// Every bore that gets or keeps a part, in the sheet's order.
    pub places: Vec<SinglePlace>,
    /// New parts that fit nowhere that is free, by their labels.
    pub left_over: Vec<String>,
    /// What has to be measured before the others can be answered.
    pub unmeasured: Vec<String>,
}

/// One bore and its part.
#[derive(Clone, Debug)]
pub struct SinglePlace {
    /// Index of the bore's position.
    pub position: usize,
    /// `piston clearance 1`.
    pub name: String,
    /// Index of the position the part was labelled or measured as.
    pub label: usize,
    /// It has run here and stays.
    pub kept: bool,
    /// Its size is that of the grade marked on it; nobody measured it.
    pub by_grade: bool,
    /// What it comes to.
    pub expected: Judged,
    /// What to finish the bore to: the part and the middle of the window. `None` where the bore is not machined.
    pub hone_to: Option<Exact>,
}

impl SinglePlace {
    /// Tightest and loosest.
    #[must_use]
    pub fn ends(&self) -> (Exact, Exact) {
        ends(&self.expected)
    }
}

fn ends(expected: &Judged) -> (Exact, Exact) {
    let (a, b) = (expected.value, expected.other.unwrap_or(expected.value));
    (a.min(b), a.max(b))
}

/// Single parts of every pair that concerns the engine and has a new one to place.
pub(super) fn fit(job: &Job, sheet: &Sheet, measured: &Measured<'_>) -> Vec<SingleSet> {
    sheet.pairs.iter().filter_map(|pair| Bench::of(job, sheet, measured, pair)?.set()).collect()
}

struct Bench<'a> {
    job: &'a Job,
    measured: &'a Measured<'a>,
    pair: &'a Pair,
    part: &'a str,
    bore: &'a Feature,
    single: &'a Feature,
    window: (Exact, Exact),
}

/// A part: where it is labelled, and its size.
struct Single {
    label: usize,
    from: SizeFrom,
    /// The largest it may be.
    largest: Exact,
}

impl<'a> Bench<'a> {
    fn of(job: &'a Job, sheet: &'a Sheet, measured: &'a Measured<'a>, pair: &'a Pair) -> Option<Self> {
        let (bore, single) =
            (sheet.features.get(pair.outer.feature)?, sheet.features.get(pair.inner.feature)?);
        let part = sheet.parts.get(single.part).filter(|part| job.concerns(&part.scopes))?;
        let window = both(pair.row.new)?;
        let of_two = bore.part != single.part && bore.positions.len() == single.positions.len();
        let is_single = pair.walls.is_none() && part.positions.len() > 1 && of_two;
        let clears = pair.row.characteristic == Characteristic::Clearance;
        // A new pin and a new piston come as a set.
        let states = job.surfaces.iter().filter(|(key, _)| key.feature == pair.outer.feature);
        let is_set = states.into_iter().any(|(_, surface)| surface.state == Some(PartState::New));
        (is_single && clears && !is_set).then_some(Self {
            job,
            measured,
            pair,
            part: &part.key,
            bore,
            single,
            window: (window.min?, window.max?),
        })
    }

    fn key(&self, position: usize) -> SurfaceKey {
        SurfaceKey { feature: self.pair.inner.feature, position }
    }

    fn is_free(&self, position: usize) -> bool {
        let key = self.key(position);
        let life = self.job.parts.get(&self.job.part_of(key));
        let is_new = self.job.surfaces.get(&key).is_some_and(|surface| surface.state == Some(PartState::New));
        is_new && life.is_none_or(|life| life.fitted.is_none())
    }

    /// The used part of this position comes back here.
    fn is_kept(&self, position: usize) -> bool {
        let (key, place) = (self.key(position), self.job.part_of(self.key(position)));
        let gone = self.job.parts.get(&place).is_some_and(|life| life.gone().is_some());
        let used = self.job.surfaces.get(&key).is_some_and(|surface| surface.state != Some(PartState::New));
        used && !gone && !self.job.is_given_up(place)
    }

    fn set(&self) -> Option<SingleSet> {
        let positions = || 0..self.single.positions.len();
        let free: Vec<usize> = positions().filter(|at| self.is_free(*at)).collect();
        if free.is_empty() {
            return None;
        }
        let kept: Vec<usize> = positions().filter(|at| self.is_kept(*at)).collect();
        let mut unmeasured = Vec::new();
        let (mut singles, mut bores) = (Vec::new(), Vec::new());
        for position in positions() {
            let bore_key = SurfaceKey { feature: self.pair.outer.feature, position };
            let (is_free, is_kept) = (free.contains(&position), kept.contains(&position));
            // A bore whose new part is in already is nobody's.
            let is_taken = !is_free
                && !is_kept
                && self
                    .job
                    .surfaces
                    .get(&self.key(position))
                    .is_some_and(|s| s.state == Some(PartState::New));
            if !is_taken {
                match sized(self.job, self.measured, &self.pair.outer, position) {
                    Some(bore) => bores.push((position, bore)),
                    None => unmeasured.push(self.job.surface_name(bore_key)),
                }
            }
            if is_free || is_kept {
                match self.single(position) {
                    Some(single) => singles.push(single),
                    None if is_free => unmeasured.push(self.job.surface_name(self.key(position))),
                    None => {}
                }
            }
        }
        let (places, left_over) = self.place(&singles, &bores, &kept);
        Some(SingleSet {
            pair: self.pair.key.clone(),
            part: self.part.to_owned(),
            window: self.pair.row.new?,
            places,
            left_over,
            unmeasured,
        })
    }

    /// As it was measured, else by the grade marked on it.
    fn single(&self, position: usize) -> Option<Single> {
        if let Some((_, largest)) = self.measured.ends(&self.pair.inner, position) {
            return Some(Single { label: position, from: SizeFrom::Read(position), largest });
        }
        let life = self.job.parts.get(&self.job.part_of(self.key(position)))?;
        let marks = fold_name(&life.marks);
        let marked = |name: &String| marks == fold_name(name) || marks == fold_name(&format!("grade {name}"));
        let (_, limits) = self.single.grades.iter().find(|(name, _)| marked(name))?;
        let limits = both(Some(*limits))?;
        Some(Single { label: position, from: SizeFrom::Within(limits), largest: limits.max? })
    }

    fn expected(&self, single: &Single, position: usize, bore: &Sized) -> Option<Judged> {
        let key = SurfaceKey { feature: self.pair.outer.feature, position };
        let new = self.is_free(single.label) || matches!(bore.from, SizeFrom::Within(_));
        let made_new = new || self.measured.is_machined(key);
        let tried = Tried { outer: bore.from, walls: Vec::new(), inner: single.from };
        self.measured.expected(self.pair, &tried, made_new)
    }

    fn place(
        &self,
        singles: &[Single],
        bores: &[(usize, Sized)],
        kept: &[usize],
    ) -> (Vec<SinglePlace>, Vec<String>) {
        let stay = i128::try_from(singles.len()).unwrap_or(i128::MAX >> 64) + 1;
        let cost = |single: &Single, position: usize, bore: &Sized| {
            // What has run in one place is free for no other, and no other for its place.
            let tied = kept.contains(&single.label) || kept.contains(&position);
            if tied {
                return (single.label == position).then_some(0);
            }
            let expected = self.expected(single, position, bore)?;
            if matches!(expected.band, Band::Beyond(_)) {
                return None;
            }
            let off = (ends(&expected).0 - middle(self.window)).abs().thousandths();
            Some(off * stay + i128::from(single.label != position))
        };
        let costs: Vec<Vec<Option<i128>>> = singles
            .iter()
            .map(|single| bores.iter().map(|(position, bore)| cost(single, *position, bore)).collect())
            .collect();
        let (mut places, mut left_over) = (Vec::new(), Vec::new());
        for (single, column) in singles.iter().zip(assign(&costs)) {
            let bore = column.and_then(|column| bores.get(column));
            match bore.and_then(|(position, bore)| self.placed(single, *position, bore, kept)) {
                Some(place) => places.push(place),
                None if kept.contains(&single.label) => {}
                None => left_over.push(self.job.surface_name(self.key(single.label))),
            }
        }
        places.sort_by_key(|place| place.position);
        (places, left_over)
    }

    fn placed(&self, single: &Single, position: usize, bore: &Sized, kept: &[usize]) -> Option<SinglePlace> {
        let target = single.largest + middle(self.window);
        let key = SurfaceKey { feature: self.pair.outer.feature, position };
        let is_bored = self.bore.sizes.is_some()
            && self.bore.shape == Shape::Bore
            && (matches!(bore.from, SizeFrom::Within(_)) || self.measured.is_machined(key));
        // Metal goes off a bore, never on.
        let has_room = matches!(bore.from, SizeFrom::Within(_)) || bore.ends.0 < target;
        let kept = kept.contains(&single.label);
        Some(SinglePlace {
            position,
            name: format!("{} {}", self.pair.key, self.bore.positions.get(position)?),
            label: single.label,
            kept,
            by_grade: matches!(single.from, SizeFrom::Within(_)),
            expected: self.expected(single, position, bore)?,
            hone_to: (is_bored && has_room && !kept).then_some(target),
        })
    }
}
