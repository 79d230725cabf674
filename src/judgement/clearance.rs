//! Clearance of a pair: outer less walls less inner, position by position.
//!
//! Loosest is the largest outer less the thinnest walls less the smallest inner, against the maximum; tightest
//! the other way, against the minimum. Judged at new limits when outer or inner is new or machined (members
//! that are always renewed aside), else at service with "outside new" said. What gauges share is kept shared:
//! a bore gauge set from the micrometer that measured the shaft carries the same setting error, which
//! cancels; one micrometer for both walls carries its error twice with one sign.

use crate::facts::PartState;
use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::{Present, gauges_used, is_asked, readings_used};
use crate::judgement::values::PlaceValue;
use crate::judgement::{Verdict, VerdictKey};
use crate::metrology::Exact;
use crate::metrology::normal::phi;
use crate::sheets::{Column, Feature, Limits, Member, Pair, Sheet, Side};
use crate::shop::{Job, SurfaceKey};
use std::collections::BTreeMap;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too loose",
    rule: "largest outer less thinnest walls less smallest inner, and the other way round",
    source: "trade notes E1, E18 and F1: shared setting cancels, walls by one gauge add; JCGM 106 decision at the house level",
};

type AllPresent = BTreeMap<SurfaceKey, Present>;

/// Verdicts of every pair at every position.
pub(super) fn judge_pairs(job: &Job, sheet: &Sheet, present: &AllPresent, level: f64) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for pair in &sheet.pairs {
        let positions = sheet.features.get(pair.inner.feature).map_or(0, |feature| feature.positions.len());
        for position in 0..positions {
            let at = PairAt { job, sheet, pair, position, present, level };
            verdicts.extend(at.verdict());
        }
    }
    verdicts
}

struct PairAt<'a> {
    job: &'a Job,
    sheet: &'a Sheet,
    pair: &'a Pair,
    position: usize,
    present: &'a AllPresent,
    level: f64,
}

/// The chosen places of each member at one end of the stack.
struct Stack<'a> {
    clearance: Exact,
    outer: &'a PlaceValue,
    walls: Vec<&'a PlaceValue>,
    inner: &'a PlaceValue,
}

impl<'a> PairAt<'a> {
    fn key(&self, member: &Member) -> SurfaceKey {
        SurfaceKey { feature: member.feature, position: self.position }
    }

    fn feature(&self, member: &Member) -> Option<&'a Feature> {
        self.sheet.features.get(member.feature)
    }

    fn verdict(&self) -> Option<Verdict> {
        let inner = self.key(&self.pair.inner);
        let surface = self.job.surfaces.get(&inner)?;
        let condition = self.present.get(&inner).map_or_else(|| surface.condition_now(), |p| p.key.condition);
        let asked = is_asked(self.job, &self.pair.row, condition);
        let missing: Vec<String> = self.pair.members().filter_map(|member| self.missing(member)).collect();
        let judged = if missing.is_empty() { self.judged() } else { None };
        if judged.is_none() && !asked {
            return None;
        }
        let position = self.feature(&self.pair.inner)?.positions.get(self.position)?;
        Some(Verdict {
            key: VerdictKey {
                surface: inner,
                row: self.pair.row.number,
                characteristic: self.pair.row.characteristic,
                instance: surface.instance,
                condition,
                basis: surface.basis,
            },
            feature: self.pair.key.clone(),
            name: format!("{} {position}", self.pair.key),
            unit: self.sheet.unit,
            stands: true,
            asked,
            missing,
            judged,
        })
    }

    /// The member's name where a place it needs has no value.
    fn missing(&self, member: &Member) -> Option<String> {
        let feature = self.feature(member)?;
        let needed = stations(member, feature).len() * directions(member, feature).len();
        let found = self.places(member).count();
        (found < needed).then(|| self.job.surface_name(self.key(member)))
    }

    /// Station and value of the places of a member that count.
    fn places(&self, member: &Member) -> impl Iterator<Item = (usize, &'a PlaceValue)> {
        let wanted =
            self.feature(member).map(|f| (stations(member, f), directions(member, f))).unwrap_or_default();
        let values = self.present.get(&self.key(member)).map(|present| &present.values);
        values.into_iter().flatten().filter_map(move |(place, value)| {
            let counts = wanted.0.contains(&place.station) && wanted.1.contains(&place.direction);
            counts.then_some((place.station, value))
        })
    }

    fn stack(&self, loosest: bool) -> Option<Stack<'a>> {
        let pick = |values: Vec<&'a PlaceValue>, largest: bool| {
            let order = |a: &&PlaceValue, b: &&PlaceValue| a.mean.cmp(&b.mean);
            if largest { values.into_iter().max_by(order) } else { values.into_iter().min_by(order) }
        };
        let of = |member: &Member| self.places(member).map(|(_, value)| value).collect::<Vec<_>>();
        let outer = pick(of(&self.pair.outer), loosest)?;
        let inner = pick(of(&self.pair.inner), !loosest)?;
        let mut walls = Vec::new();
        if let Some(member) = &self.pair.walls {
            for station in stations(member, self.feature(member)?) {
                let there: Vec<_> =
                    self.places(member).filter(|(s, _)| *s == station).map(|(_, v)| v).collect();
                walls.push(pick(there, !loosest)?);
            }
        }
        let clearance = walls.iter().fold(outer.mean - inner.mean, |left, wall| left - wall.mean);
        Some(Stack { clearance, outer, walls, inner })
    }

    /// New or machined members are judged at new limits; those always renewed do not count.
    fn is_made_new(&self) -> bool {
        self.pair.members().any(|member| {
            let key = self.key(member);
            let renewed =
                self.feature(member).and_then(|f| self.sheet.parts.get(f.part)).is_some_and(|p| p.renewed);
            let machined = self.present.get(&key).is_some_and(|present| present.resized);
            let new =
                self.job.surfaces.get(&key).is_some_and(|surface| surface.state == Some(PartState::New));
            !renewed && (machined || new)
        })
    }

    fn deciding(&self) -> Option<Deciding> {
        let new = self.pair.row.new?;
        match self.pair.row.service {
            Some(service) if !self.is_made_new() => Some(Deciding {
                column: Column::Service,
                limits: service.completed_by(&new),
                proof: service,
                new: Some(new),
            }),
            Some(_) | None => Some(Deciding { column: Column::New, limits: new, proof: new, new: Some(new) }),
        }
    }

    fn judged(&self) -> Option<Judged> {
        let (loose, tight) = (self.stack(true)?, self.stack(false)?);
        let deciding = self.deciding()?;
        let (value, other, band) = worst(&deciding, loose.clearance, tight.clearance);
        let errors = loose.error().zip(tight.error());
        let probability =
            errors.map(|(u_loose, u_tight)| conformity(&deciding.proof, &loose, u_loose, &tight, u_tight));
        let mut notes = Vec::new();
        if deciding.limits.touches(value) {
            notes.push(Note::OnLimit);
        }
        if band == Band::Serviceable {
            notes.push(Note::OutsideNew);
        }
        let used = || loose.members().chain(tight.members());
        let shown = |name: &str, value: Exact| PlaceShown { name: name.to_owned(), value };
        Some(Judged {
            value,
            other: Some(other),
            deciding: Some(deciding),
            band,
            probability,
            proof: proof(band, probability, self.level),
            u: errors.map(|(loose, tight)| loose.max(tight)),
            places: vec![shown("loosest", loose.clearance), shown("tightest", tight.clearance)],
            readings: readings_used(used()),
            gauges: gauges_used(used()),
            corrected: used().any(|v| v.corrected),
            rule: PLAIN.rule,
            source: PLAIN.source,
            notes,
        })
    }
}

impl<'a> Stack<'a> {
    fn members(&self) -> impl Iterator<Item = &'a PlaceValue> + '_ {
        std::iter::once(self.outer).chain(self.walls.iter().copied()).chain(std::iter::once(self.inner))
    }

    /// Standard uncertainty, millimetres: repeats add in quadrature, what a standard or a gauge shares adds
    /// with its sign before it is squared.
    fn error(&self) -> Option<f64> {
        let mut repeats = 0.0;
        let mut settings: BTreeMap<&str, f64> = BTreeMap::new();
        let mut transfers: BTreeMap<&str, f64> = BTreeMap::new();
        for (index, value) in self.members().enumerate() {
            let sign = if index == 0 { 1.0 } else { -1.0 };
            let error = value.error.as_ref()?;
            repeats += error.repeat.powi(2);
            *settings.entry(&error.gauge.setting_of).or_default() += sign * error.setting;
            *transfers.entry(&error.gauge.mark).or_default() += sign * error.transfer;
        }
        let shared: f64 = settings.values().chain(transfers.values()).map(|sum| sum.powi(2)).sum();
        Some((repeats + shared).sqrt())
    }
}

/// The end that decides, the other end, and the band: too loose before too tight, beyond before inside.
fn worst(deciding: &Deciding, loose: Exact, tight: Exact) -> (Exact, Exact, Band) {
    let (of_loose, of_tight) = (deciding.band(loose), deciding.band(tight));
    match (of_loose, of_tight) {
        (Band::Beyond(Side::Above), _) => (loose, tight, of_loose),
        (_, Band::Beyond(_)) => (tight, loose, of_tight),
        (a, b) => (loose, tight, a.max(b)),
    }
}

/// P(tightest not below min and loosest not above max): one minus both tails, exact where loosest and
/// tightest are one stack and a lower bound else.
fn conformity(limits: &Limits, loose: &Stack<'_>, u_loose: f64, tight: &Stack<'_>, u_tight: f64) -> f64 {
    let under_max = limits.max.map_or(1.0, |max| phi((max - loose.clearance).to_mm() / u_loose));
    let under_min = limits.min.map_or(0.0, |min| phi((min - tight.clearance).to_mm() / u_tight));
    (under_max - under_min).clamp(0.0, 1.0)
}

fn stations(member: &Member, feature: &Feature) -> Vec<usize> {
    if member.stations.is_empty() { (0..feature.stations.len()).collect() } else { member.stations.clone() }
}

fn directions(member: &Member, feature: &Feature) -> Vec<usize> {
    if member.directions.is_empty() {
        (0..feature.directions.len()).collect()
    } else {
        member.directions.clone()
    }
}
