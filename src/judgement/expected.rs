//! What parts that do not lie together yet would come to: another shell, another piston, a shaft ground to a size.
//!
//! The same stack and the same sureness as of a measured clearance (`stack`); only the members are others. A member is
//! read at some position of the engine, or it is anything the sheet allows: then both ends of that count, and it adds
//! nothing to the uncertainty, since the ends hold wherever in between it lies. Nothing is chosen here.

use crate::judgement::Judgement;
use crate::judgement::judged::Judged;
use crate::judgement::rules::Present;
use crate::judgement::stack::{self, Members, Which};
use crate::judgement::values::PlaceValue;
use crate::metrology::Exact;
use crate::sheets::{Limits, Member, Pair, Sheet};
use crate::shop::{Job, Place, SurfaceKey};
use std::collections::BTreeMap;

/// Where the size of a member comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeFrom {
    /// Read at this position.
    Read(usize),
    /// Anything between these; both bounds are needed.
    Within(Limits),
}

/// A stack that might be put together.
#[derive(Clone, Debug)]
pub struct Tried {
    /// The bore.
    pub outer: SizeFrom,
    /// Walls, in the order of the pair's stations; empty without.
    pub walls: Vec<SizeFrom>,
    /// The shaft.
    pub inner: SizeFrom,
}

/// The parts of an engine as they were last measured, questioned readings left out.
pub struct Measured<'a> {
    sheet: &'a Sheet,
    present: &'a BTreeMap<SurfaceKey, Present>,
    level: f64,
}

impl<'a> Measured<'a> {
    /// Of an engine as it was judged; `None` before it has a sheet.
    #[must_use]
    pub fn of(job: &'a Job, judgement: &'a Judgement) -> Option<Self> {
        let sheet = job.sheet.as_deref()?;
        let level = job.rules.as_ref().map_or(0.95, |rules| rules.level());
        Some(Self { sheet, present: &judgement.present, level })
    }

    /// Smallest and largest of the places of a member that count, at a position; `None` while one has no value.
    #[must_use]
    pub fn ends(&self, member: &Member, position: usize) -> Option<(Exact, Exact)> {
        let values: Vec<Exact> =
            self.read(member, position, |_| true)?.iter().map(|value| value.mean).collect();
        Some((values.iter().copied().min()?, values.iter().copied().max()?))
    }

    /// Values of one surface by station, the smallest and the largest of its directions.
    #[must_use]
    pub fn by_station(&self, key: SurfaceKey) -> BTreeMap<usize, (Exact, Exact)> {
        let mut stations: BTreeMap<usize, (Exact, Exact)> = BTreeMap::new();
        for (place, value) in self.present.get(&key).into_iter().flat_map(|present| &present.values) {
            let ends = stations.entry(place.station).or_insert((value.mean, value.mean));
            *ends = (ends.0.min(value.mean), ends.1.max(value.mean));
        }
        stations
    }

    /// Values of one surface by place.
    #[must_use]
    pub fn places(&self, key: SurfaceKey) -> BTreeMap<Place, Exact> {
        let values = self.present.get(&key).into_iter().flat_map(|present| &present.values);
        values.map(|(place, value)| (*place, value.mean)).collect()
    }

    /// The surface was brought to its size by an operation.
    #[must_use]
    pub fn is_machined(&self, key: SurfaceKey) -> bool {
        self.present.get(&key).is_some_and(|present| present.resized)
    }

    /// The surface was read in the engine as it goes together.
    #[must_use]
    pub fn is_from_assembly(&self, key: SurfaceKey) -> bool {
        self.present.get(&key).is_some_and(|present| present.key.condition.is_at_assembly())
    }

    /// What such a stack would come to, at new limits where it is made new, else at those for reuse. `None` where a
    /// member has no value.
    #[must_use]
    pub fn expected(&self, pair: &Pair, tried: &Tried, made_new: bool) -> Option<Judged> {
        let deciding = stack::deciding(pair, made_new)?;
        let allowed = [&tried.outer, &tried.inner].into_iter().chain(&tried.walls).filter_map(bounds);
        let allowed: Vec<(Limits, [PlaceValue; 2])> = allowed.collect();
        let values = |which: Which, member: &Member| {
            let from = match which {
                Which::Outer | Which::Worn => &tried.outer,
                Which::Wall(number, _) => tried.walls.get(number)?,
                Which::Inner => &tried.inner,
            };
            match from {
                SizeFrom::Read(position) => self.read(member, *position, |at| which.counts(pair, at)),
                SizeFrom::Within(limits) => {
                    let (_, ends) = allowed.iter().find(|(known, _)| known == limits)?;
                    Some(ends.iter().collect())
                }
            }
        };
        let members = Members::of(pair, self.sheet, &deciding, values)?;
        stack::judged(pair, &deciding, &members, self.level)
    }

    /// The places of a member that count here; `None` while one has no value.
    fn read(
        &self,
        member: &Member,
        position: usize,
        counts: impl Fn(Place) -> bool,
    ) -> Option<Vec<&PlaceValue>> {
        let feature = self.sheet.features.get(member.feature)?;
        let directions = member.directions_of(feature);
        let places = member.stations_of(feature).into_iter().flat_map(|station| {
            directions.iter().map(move |direction| Place { station, direction: *direction })
        });
        let wanted = places.filter(|at| counts(*at)).count();
        let all = stack::places(self.sheet, self.present, member, position);
        let found: Vec<&PlaceValue> = all.filter(|(at, _)| counts(*at)).map(|(_, value)| value).collect();
        (found.len() == wanted).then_some(found)
    }
}

/// Both ends of what the sheet allows.
fn bounds(from: &SizeFrom) -> Option<(Limits, [PlaceValue; 2])> {
    match from {
        SizeFrom::Read(_) => None,
        SizeFrom::Within(limits) => {
            Some((*limits, [PlaceValue::at(limits.min?), PlaceValue::at(limits.max?)]))
        }
    }
}
