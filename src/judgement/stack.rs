//! A stack of parts and what it comes to: outer less walls less inner, loosest and tightest, and how sure.
//!
//! It does not ask where the values come from: read on the parts that lie together now (`clearance`), or of parts that
//! might be put together (`expected`). What gauges share is kept shared in both.

use crate::judgement::deciding::Deciding;
use crate::judgement::errors::{PlaceError, Weighed, combined_of};
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::plain;
use crate::judgement::rivals::{self, Chosen};
use crate::judgement::rules::{Present, gauges_used, readings_used};
use crate::judgement::values::{PlaceValue, end};
use crate::metrology::Exact;
use crate::metrology::normal::phi;
use crate::sheets::{Characteristic, Column, Limits, Member, Pair, Sheet, Side};
use crate::shop::{Place, SurfaceKey};
use std::collections::BTreeMap;

/// The values each member of a stack may take: at its places, or at both ends of what a sheet allows.
pub(super) struct Members<'a> {
    pub(super) outer: Vec<&'a PlaceValue>,
    /// Those of the outer that count for the loosest: where its wear decides, in the directions the sheet names.
    pub(super) worn: Vec<&'a PlaceValue>,
    /// By station.
    pub(super) walls: Vec<Vec<&'a PlaceValue>>,
    pub(super) inner: Vec<&'a PlaceValue>,
}

/// Which of a stack.
#[derive(Clone, Copy)]
pub(super) enum Which {
    Outer,
    /// In the directions in which its wear decides.
    Worn,
    /// The one of this number, from 0, at this station.
    Wall(usize, usize),
    Inner,
}

impl Which {
    /// Does a place of the member count for it?
    pub(super) fn counts(self, pair: &Pair, at: Place) -> bool {
        match self {
            Self::Outer | Self::Inner => true,
            Self::Worn => pair.reuse_directions.contains(&at.direction),
            Self::Wall(_, station) => station == at.station,
        }
    }
}

impl<'a> Members<'a> {
    /// With the values that are found for each; `None` where one has none to give.
    pub(super) fn of(
        pair: &Pair,
        sheet: &Sheet,
        deciding: &Deciding,
        values: impl Fn(Which, &Member) -> Option<Vec<&'a PlaceValue>>,
    ) -> Option<Self> {
        let mut walls = Vec::new();
        if let Some(member) = &pair.walls {
            let stations = member.stations_of(sheet.features.get(member.feature)?);
            for (number, station) in stations.into_iter().enumerate() {
                walls.push(values(Which::Wall(number, station), member)?);
            }
        }
        let (outer, inner) = (values(Which::Outer, &pair.outer)?, values(Which::Inner, &pair.inner)?);
        let by_wear = deciding.column == Column::Service && !pair.reuse_directions.is_empty();
        let worn = if by_wear { values(Which::Worn, &pair.outer)? } else { outer.clone() };
        Some(Self { outer, worn, walls, inner })
    }
}

/// The chosen places of each member at one end of the stack.
struct Stack<'a> {
    loosest: bool,
    clearance: Exact,
    outer: &'a PlaceValue,
    walls: Vec<&'a PlaceValue>,
    inner: &'a PlaceValue,
}

/// The bounds of those that decide for a pair; `None` where the sheet has none.
#[must_use]
pub fn pair_limits(pair: &Pair, made_new: bool) -> Option<Limits> {
    deciding(pair, made_new).map(|deciding| deciding.limits)
}

/// The limits that decide for a pair: service as found, new where a member is new or machined.
pub(super) fn deciding(pair: &Pair, made_new: bool) -> Option<Deciding> {
    let new = pair.row.new?;
    match pair.row.service {
        Some(service) if !made_new => Some(Deciding {
            column: Column::Service,
            limits: service.completed_by(&new),
            proof: service,
            new: Some(new),
        }),
        Some(_) | None => Some(Deciding { column: Column::New, limits: new, proof: new, new: Some(new) }),
    }
}

/// What the stack comes to against the limits; `None` where a member has no value.
pub(super) fn judged(pair: &Pair, deciding: &Deciding, of: &Members<'_>, level: f64) -> Option<Judged> {
    let turned = pair.row.characteristic == Characteristic::Interference;
    let end = |loosest: bool| Stack::of(of, loosest).map(|stack| End::of(stack, turned));
    let (loose, tight) = (end(true)?, end(false)?);
    let (value, other, band) = worst(deciding, loose.value, tight.value, turned);
    let (low, high) = if turned { (&loose, &tight) } else { (&tight, &loose) };
    let probability = conformity(&deciding.proof, low, high);
    let mut notes = Vec::new();
    if deciding.limits.touches(value) {
        notes.push(Note::OnLimit);
    }
    if band == Band::Serviceable {
        notes.push(Note::OutsideNew);
    }
    let less_sure =
        loose.u.zip(tight.u).map(|(of_loose, of_tight)| if of_tight > of_loose { &tight } else { &loose });
    let used = || loose.stack.members().chain(tight.stack.members());
    let shown = |name: &str, value: Exact| PlaceShown { name: name.to_owned(), value };
    let plain = plain::of(pair.row.characteristic);
    let judged = Judged {
        value,
        other: Some(other),
        deciding: Some(*deciding),
        band,
        probability,
        proof: proof(band, probability, level),
        u: loose.u.zip(tight.u).map(|(loose, tight)| loose.max(tight)),
        rests: less_sure.and_then(|end| end.stack.rests()).unwrap_or_default(),
        places: vec![shown("loosest", loose.value), shown("tightest", tight.value)],
        readings: readings_used(used()),
        gauges: gauges_used(used()),
        corrected: used().any(|v| v.corrected),
        rule: plain.rule,
        source: plain.source,
        notes,
    };
    Some(
        judged
            .unless_noise(level, || shows(deciding, of, if value == tight.value { &tight } else { &loose })),
    )
}

/// Probability that a pair just at its limit shows its worst no further out than this end.
fn shows(deciding: &Deciding, of: &Members<'_>, end: &End<'_>) -> Option<f64> {
    let Limits { min, max } = deciding.proof;
    let below = min.map(|min| min - end.value).filter(|by| *by > Exact::ZERO);
    let by = below.or(max.map(|max| end.value - max).filter(|by| *by > Exact::ZERO))?;
    rivals::shows(by.to_mm(), &end.stack.chosen(of))
}

/// The places of a member that count, at a position, with their values.
pub(super) fn places<'a>(
    sheet: &Sheet,
    present: &'a BTreeMap<SurfaceKey, Present>,
    member: &Member,
    position: usize,
) -> impl Iterator<Item = (Place, &'a PlaceValue)> + use<'a> {
    let feature = sheet.features.get(member.feature);
    let wanted = feature.map(|f| (member.stations_of(f), member.directions_of(f))).unwrap_or_default();
    let values = present.get(&SurfaceKey { feature: member.feature, position }).map(|p| &p.values);
    values.into_iter().flatten().filter_map(move |(place, value)| {
        let counts = wanted.0.contains(&place.station) && wanted.1.contains(&place.direction);
        counts.then_some((*place, value))
    })
}

/// One end of the stack: its clearance, or its interference where the sign is turned.
struct End<'a> {
    stack: Stack<'a>,
    value: Exact,
    u: Option<f64>,
}

impl<'a> End<'a> {
    fn of(stack: Stack<'a>, turned: bool) -> Self {
        let value = if turned { -stack.clearance } else { stack.clearance };
        // Of sizes that the sheet states nothing is unsure, and nothing is proven by a gauge.
        let u = stack.error().filter(|u| *u > 0.0);
        Self { stack, value, u }
    }
}

impl<'a> Stack<'a> {
    /// Loosest: largest outer, thinnest walls, smallest inner; tightest the other way.
    fn of(members: &Members<'a>, loosest: bool) -> Option<Self> {
        let pick = |values: &[&'a PlaceValue], largest: bool| end(values.iter().copied(), largest);
        let outer = pick(if loosest { &members.worn } else { &members.outer }, loosest)?;
        let inner = pick(&members.inner, !loosest)?;
        let walls = members.walls.iter().map(|wall| pick(wall, !loosest)).collect::<Option<Vec<_>>>()?;
        let clearance = walls.iter().fold(outer.mean - inner.mean, |left, wall| left - wall.mean);
        Some(Self { loosest, clearance, outer, walls, inner })
    }

    /// The chosen places with all that each was chosen among.
    fn chosen(&self, of: &Members<'a>) -> Vec<Chosen<'a>> {
        let outer = if self.loosest { &of.worn } else { &of.outer };
        let among = std::iter::once(outer).chain(&of.walls).chain(std::iter::once(&of.inner));
        let each = self.members().zip(among).enumerate();
        each.map(|(index, (place, among))| Chosen { weight: sign(index), place, among: among.clone() })
            .collect()
    }

    fn members(&self) -> impl Iterator<Item = &'a PlaceValue> + '_ {
        std::iter::once(self.outer).chain(self.walls.iter().copied()).chain(std::iter::once(self.inner))
    }

    /// Errors of the members with their signs in the clearance.
    fn signed(&self) -> Option<Vec<(f64, &'a PlaceError)>> {
        self.members().enumerate().map(|(index, value)| Some((sign(index), value.error.as_ref()?))).collect()
    }

    /// Standard uncertainty, millimetres.
    fn error(&self) -> Option<f64> {
        Some(combined_of(&self.signed()?))
    }

    fn rests(&self) -> Option<Vec<Weighed>> {
        Some(self.signed()?.into_iter().map(|(sign, error)| (sign, error.clone())).collect())
    }
}

/// The end that decides, the other end, and the band: the loose end where it is too loose, else the tight one
/// where it is out, else both inside.
fn worst(deciding: &Deciding, loose: Exact, tight: Exact, turned: bool) -> (Exact, Exact, Band) {
    let too_loose = Band::Beyond(if turned { Side::Below } else { Side::Above });
    match (deciding.band(loose), deciding.band(tight)) {
        (band, _) if band == too_loose => (loose, tight, band),
        (_, band @ Band::Beyond(_)) => (tight, loose, band),
        (a, b) => (loose, tight, a.max(b)),
    }
}

/// In the clearance the outer counts for, all others against it.
const fn sign(member: usize) -> f64 {
    if member == 0 { 1.0 } else { -1.0 }
}

/// P(low end not below min and high end not above max): one minus both tails, exact where both ends are one
/// stack and a lower bound else.
fn conformity(limits: &Limits, low: &End<'_>, high: &End<'_>) -> Option<f64> {
    let (u_low, u_high) = (low.u?, high.u?);
    let under_max = limits.max.map_or(1.0, |max| phi((max - high.value).to_mm() / u_high));
    let under_min = limits.min.map_or(0.0, |min| phi((min - low.value).to_mm() / u_low));
    Some((under_max - under_min).clamp(0.0, 1.0))
}
