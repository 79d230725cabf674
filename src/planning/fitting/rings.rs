//! Rings to bores: what gap a ring has in a bore, and how much is filed.
//!
//! A gap follows the diameter by pi, all along the travel and from one bore to another (trade notes E4): the least of it
//! counts against the minimum, the most against the maximum. A bore is read in several directions; each of them says
//! what the gap does, and both extremes are shown. A gap that is too small is filed, to within 0.002 in (0.05 mm) above the
//! minimum; one that is too large cannot be mended. Rings go where the least is filed, and stay with the bore they
//! are labelled for unless that is better.

use crate::judgement::Measured;
use crate::metrology::{Exact, Unit};
use crate::planning::fitting::assign::assign;
use crate::planning::fitting::sizes::both;
use crate::sheets::{Characteristic, Feature, Limits, Sheet, same_name};
use crate::shop::{Job, Place, SurfaceKey};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Rings of one groove.
#[derive(Clone, Debug)]
pub struct RingSet {
    /// The feature: `top ring gap`.
    pub feature: String,
    /// Bores by position whose diameter is known, in the sheet's order.
    pub places: Vec<RingPlace>,
    /// Rings that fit no bore, by their labels.
    pub left_over: Vec<String>,
    /// Bores to measure before their rings can be answered.
    pub unmeasured: Vec<String>,
}

/// One bore and its ring.
#[derive(Clone, Debug)]
pub struct RingPlace {
    /// Index of the position.
    pub position: usize,
    /// `top ring gap 1`.
    pub name: String,
    /// How much wider the gap is at the largest diameter of travel than at the smallest.
    pub wider: Exact,
    /// The limits: new for a machined bore, else the maximum is that for reuse.
    pub limits: Limits,
    /// The ring that was measured and what it comes to here; `None` while none was.
    pub ring: Option<RingHere>,
    /// File until the gap at the smallest diameter lies here; `None` where the travel is too tapered for any gap.
    pub file_to: Option<(Exact, Exact)>,
}

/// A ring in a bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RingHere {
    /// Index of the position it was labelled or measured as.
    pub label: usize,
    /// Least and most gap along the travel.
    pub gap: (Exact, Exact),
    /// To file off at least; nothing where it is wide enough.
    pub file_off: Exact,
}

/// Diameters of a bore by place.
type Bore = BTreeMap<Place, Exact>;

/// Least and most gap of a ring by station.
type Gaps = BTreeMap<usize, (Exact, Exact)>;

/// Rings of every groove the sheet has.
pub(super) fn fit(job: &Job, sheet: &Sheet, measured: &Measured<'_>) -> Vec<RingSet> {
    let features = sheet.features.iter().enumerate();
    features.filter_map(|(index, feature)| Bench::of(job, sheet, measured, index, feature)?.set()).collect()
}

struct Bench<'a> {
    job: &'a Job,
    measured: &'a Measured<'a>,
    index: usize,
    feature: &'a Feature,
    bore_index: usize,
    bore: &'a Feature,
    new: Limits,
    service: Limits,
    /// What filing may miss by.
    window: Exact,
}

impl<'a> Bench<'a> {
    fn of(
        job: &'a Job,
        sheet: &'a Sheet,
        measured: &'a Measured<'a>,
        index: usize,
        feature: &'a Feature,
    ) -> Option<Self> {
        let row = feature.row(Characteristic::EndGap)?;
        let part = sheet.parts.get(feature.part).filter(|part| job.concerns(&part.scopes))?;
        let group = part.sized_by.as_ref()?;
        let mut features = sheet.features.iter().enumerate();
        let (bore_index, bore) = features.find(|(_, f)| !f.group.is_empty() && same_name(&f.group, group))?;
        let new = both(row.new)?;
        let twenty = Exact::nearest(if sheet.unit == Unit::Inch { 0.0508 } else { 0.05 });
        (bore.positions.len() == feature.positions.len()).then_some(Self {
            job,
            measured,
            index,
            feature,
            bore_index,
            bore,
            new,
            service: row.service.map_or(new, |service| service.completed_by(&new)),
            window: twenty,
        })
    }

    fn set(&self) -> Option<RingSet> {
        let (mut bores, mut unmeasured) = (Vec::new(), Vec::new());
        for position in 0..self.bore.positions.len() {
            match self.diameters(position) {
                Some(bore) => bores.push((position, bore)),
                None => unmeasured.push(self.job.surface_name(self.bore_key(position))),
            }
        }
        // A gap was read in the bore the ring is labelled for.
        let rings: Vec<(usize, Gaps)> = bores
            .iter()
            .map(|(position, _)| (*position, self.gaps(*position)))
            .filter(|(_, gaps)| !gaps.is_empty())
            .collect();
        if bores.is_empty() {
            return None;
        }
        let (chosen, left_over) = self.choose(&rings, &bores);
        let places = bores.iter().filter_map(|(position, bore)| self.place(*position, bore, &chosen));
        Some(RingSet { feature: self.feature.key.clone(), places: places.collect(), left_over, unmeasured })
    }

    fn bore_key(&self, position: usize) -> SurfaceKey {
        SurfaceKey { feature: self.bore_index, position }
    }

    fn diameters(&self, position: usize) -> Option<Bore> {
        let key = self.bore_key(position);
        let read = self.measured.places(key);
        let whole = self.bore.stations.len() * self.bore.directions.len();
        (self.job.awaited_work(key).is_none() && read.len() == whole).then_some(read)
    }

    /// Gaps by station of the new ring that is labelled for this position.
    fn gaps(&self, position: usize) -> Gaps {
        let key = SurfaceKey { feature: self.index, position };
        let is_new = self.job.surfaces.get(&key).is_some_and(|surface| surface.instance > 1)
            || self.measured.is_from_assembly(key);
        if is_new { self.measured.by_station(key) } else { BTreeMap::new() }
    }

    /// The station of the bore at a station of the ring's travel: first at first, last at last.
    fn bore_station(&self, ring_station: usize) -> usize {
        let last = self.bore.stations.len().saturating_sub(1);
        match self.feature.stations.len() {
            0 | 1 => 0,
            stations => ring_station * last / (stations - 1),
        }
    }

    /// Least and most gap of a ring, read in one bore, along the travel of another.
    fn moved(&self, gaps: &Gaps, from: &Bore, to: &Bore) -> Option<(Exact, Exact)> {
        let mut all: Vec<Exact> = Vec::new();
        for (place, diameter) in to {
            let nearest = gaps.iter().min_by_key(|(at, _)| self.bore_station(**at).abs_diff(place.station));
            let (at, (least, most)) = nearest?;
            let there = Place { station: self.bore_station(*at), direction: place.direction };
            let wider = by_pi(*diameter - *from.get(&there)?);
            all.extend([*least + wider, *most + wider]);
        }
        Some((all.iter().copied().min()?, all.iter().copied().max()?))
    }

    fn limits(&self, position: usize) -> Limits {
        if self.measured.is_machined(self.bore_key(position)) { self.new } else { self.service }
    }

    fn choose(
        &self,
        rings: &[(usize, Gaps)],
        bores: &[(usize, Bore)],
    ) -> (Vec<(usize, RingHere)>, Vec<String>) {
        let of = |position: usize| bores.iter().find(|(at, _)| *at == position).map(|(_, bore)| bore);
        let here = |label: usize, gaps: &Gaps, position: usize, bore: &Bore| {
            let gap = self.moved(gaps, of(label)?, bore)?;
            let limits = self.limits(position);
            let file_off = (limits.min? - gap.0).max(Exact::ZERO);
            let fits = gap.1 + file_off <= limits.max?;
            fits.then_some(RingHere { label, gap, file_off })
        };
        let stay = i128::try_from(rings.len()).unwrap_or(i128::MAX >> 64) + 1;
        let ways: Vec<Vec<Option<RingHere>>> = rings
            .iter()
            .map(|(label, gaps)| bores.iter().map(|(at, bore)| here(*label, gaps, *at, bore)).collect())
            .collect();
        let cost = |way: &Option<RingHere>, at: usize| {
            way.map(|way| way.file_off.thousandths() * stay + i128::from(way.label != at))
        };
        let costs: Vec<Vec<Option<i128>>> = ways
            .iter()
            .map(|row| row.iter().zip(bores).map(|(way, (at, _))| cost(way, *at)).collect())
            .collect();
        let (mut chosen, mut left_over) = (Vec::new(), Vec::new());
        for (((label, _), row), column) in rings.iter().zip(&ways).zip(assign(&costs)) {
            let way = column.and_then(|at| Some((bores.get(at)?.0, (*row.get(at)?)?)));
            match way {
                Some(way) => chosen.push(way),
                None => left_over
                    .push(self.job.surface_name(SurfaceKey { feature: self.index, position: *label })),
            }
        }
        (chosen, left_over)
    }

    fn place(&self, position: usize, bore: &Bore, chosen: &[(usize, RingHere)]) -> Option<RingPlace> {
        let limits = self.limits(position);
        let wider = by_pi(taper(bore));
        let ring = chosen.iter().find(|(at, _)| *at == position).map(|(_, here)| *here);
        let (min, max) = (limits.min?, limits.max?);
        let most = (min + self.window).min(max - wider);
        Some(RingPlace {
            position,
            name: format!("{} {}", self.feature.key, self.feature.positions.get(position)?),
            wider,
            limits,
            ring,
            file_to: (min <= most).then_some((min, most)),
        })
    }
}

/// The largest taper in one direction.
fn taper(bore: &Bore) -> Exact {
    let mut directions: BTreeMap<usize, (Exact, Exact)> = BTreeMap::new();
    for (place, value) in bore {
        let ends = directions.entry(place.direction).or_insert((*value, *value));
        *ends = (ends.0.min(*value), ends.1.max(*value));
    }
    directions.into_values().map(|(least, most)| most - least).max().unwrap_or(Exact::ZERO)
}

fn by_pi(diameter: Exact) -> Exact {
    Exact::nearest(diameter.to_mm() * PI)
}
