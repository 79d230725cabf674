//! Clearance of a pair: outer less walls less inner, position by position.
//!
//! Loosest is the largest outer less the thinnest walls less the smallest inner, against the maximum; tightest
//! the other way, against the minimum. Judged at new limits when outer or inner is new or machined (members
//! that are always renewed aside), else at service with "outside new" said. What gauges share is kept shared:
//! a bore gauge set from the micrometer that measured the shaft carries the same setting error, which
//! cancels; one micrometer for both walls carries its error twice with one sign.

use crate::facts::PartState;
use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, proof};
use crate::judgement::plain::{self, Counts, Plain};
use crate::judgement::rules::{Present, gauges_used, is_asked, readings_used};
use crate::judgement::values::PlaceValue;
use crate::judgement::{Verdict, VerdictKey};
use crate::metrology::Exact;
use crate::metrology::normal::phi;
use crate::sheets::{Characteristic, Column, Feature, Limits, Member, Pair, Sheet, Side};
use crate::shop::{Condition, Job, Surface, SurfaceKey};
use std::collections::BTreeMap;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "too tight",
    above: "too loose",
    rule: "largest outer less thinnest walls less smallest inner, and the other way round",
    source: "common practice: shared setting cancels, walls by one gauge add; JCGM 106 decision at the house level",
};

type AllPresent = BTreeMap<SurfaceKey, Present>;

/// Verdicts of every pair at every position.
pub(super) fn judge_pairs(job: &Job, sheet: &Sheet, present: &AllPresent, level: f64) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for pair in &sheet.pairs {
        let positions = sheet.features.get(pair.inner.feature).map_or(0, |feature| feature.positions.len());
        for position in 0..positions {
            let at = PairAt { job, sheet, pair, position, present, level };
            verdicts.extend(at.verdicts());
        }
    }
    compare(&mut verdicts);
    verdicts
}

/// Where the sheet has two stacks over one shaft (housing and shells, and the bore with the shells in), each says what
/// the other gives: the cross-check that finds a shell in the wrong place or a gauge set wrong.
fn compare(verdicts: &mut [Verdict]) {
    let told: Vec<(SurfaceKey, String, Exact, Exact, Option<f64>)> = verdicts
        .iter()
        .filter(|verdict| verdict.stands && verdict.key.characteristic == Characteristic::Clearance)
        .filter_map(|verdict| {
            let judged = verdict.judged.as_ref()?;
            let (value, other) = (judged.value, judged.other?);
            Some((verdict.key.surface, verdict.name.clone(), value.min(other), value.max(other), judged.u))
        })
        .collect();
    for verdict in
        verdicts.iter_mut().filter(|v| v.stands && v.key.characteristic == Characteristic::Clearance)
    {
        let Some(judged) = verdict.judged.as_mut() else { continue };
        let Some(own) = told.iter().find(|told| told.1 == verdict.name) else { continue };
        for other in told.iter().filter(|told| told.0 == own.0 && told.1 != own.1) {
            // Without figures nothing is called too far apart.
            let u = own.4.zip(other.4).map(|(own, other)| 2.0 * own.hypot(other));
            let apart = |a: Exact, b: Exact| u.is_some_and(|u| (a - b).abs().to_mm() > u);
            judged.notes.push(Note::Beside(Beside::OtherStack {
                by: other.1.clone(),
                ends: (other.2, other.3),
                apart: apart(own.2, other.2) || apart(own.3, other.3),
            }));
        }
    }
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

    /// The verdict as things stand, and an empty one where the pair is asked as it goes together and something
    /// that will be fitted is not measured. Nothing is measured twice: members that stay as they were measured
    /// count for the assembly too.
    fn verdicts(&self) -> Vec<Verdict> {
        let inner = self.key(&self.pair.inner);
        let Some(surface) = self.job.surfaces.get(&inner) else { return Vec::new() };
        let assembly = surface.assembly_key().condition;
        let found = self.present.get(&inner).map_or_else(|| surface.condition_now(), |p| p.key.condition);
        let condition = if self.pair.members().any(|m| self.is_from_assembly(m)) { assembly } else { found };
        let (open, open_fitted) = (self.missing(Self::is_open), self.missing(Self::is_open_for_assembly));
        let fitting = is_asked(self.job, &self.pair.row, assembly);
        let missing = if condition == assembly { open_fitted.clone() } else { open };
        let asked = is_asked(self.job, &self.pair.row, condition) || (fitting && open_fitted.is_empty());
        let waits = fitting && condition != assembly && !open_fitted.is_empty();
        let judged = if missing.is_empty() { self.judged() } else { None };
        let stands = (judged.is_some() || asked).then_some((condition, asked, missing, judged));
        let awaited = waits.then_some((assembly, true, open_fitted, None));
        let verdict =
            |(condition, asked, missing, judged)| self.verdict(surface, condition, asked, missing, judged);
        stands.into_iter().chain(awaited).filter_map(verdict).collect()
    }

    fn verdict(
        &self,
        surface: &Surface,
        condition: Condition,
        asked: bool,
        missing: Vec<String>,
        judged: Option<Judged>,
    ) -> Option<Verdict> {
        let position = self.feature(&self.pair.inner)?.positions.get(self.position)?;
        Some(Verdict {
            key: VerdictKey {
                surface: self.key(&self.pair.inner),
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
            gauges: Vec::new(),
        })
    }

    /// Names of the members that this is true of.
    fn missing(&self, open: fn(&Self, &Member) -> bool) -> Vec<String> {
        let members = self.pair.members().filter(|member| open(self, member));
        members.map(|member| self.job.surface_name(self.key(member))).collect()
    }

    /// A place it needs has no value.
    fn is_open(&self, member: &Member) -> bool {
        self.feature(member).is_some_and(|feature| {
            self.places(member).count() < stations(member, feature).len() * directions(member, feature).len()
        })
    }

    /// The same for what goes into the engine: what came in with a part that is always renewed says nothing.
    fn is_open_for_assembly(&self, member: &Member) -> bool {
        let replaced = self.present.get(&self.key(member)).is_some_and(|present| present.key.instance > 1);
        self.is_open(member) || (self.is_renewed(member) && !replaced && !self.is_from_assembly(member))
    }

    fn is_from_assembly(&self, member: &Member) -> bool {
        self.present.get(&self.key(member)).is_some_and(|present| present.key.condition.is_at_assembly())
    }

    fn is_renewed(&self, member: &Member) -> bool {
        self.feature(member).and_then(|f| self.sheet.parts.get(f.part)).is_some_and(|part| part.renewed)
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
            let machined = self.present.get(&key).is_some_and(|present| present.resized);
            let new =
                self.job.surfaces.get(&key).is_some_and(|surface| surface.state == Some(PartState::New));
            !self.is_renewed(member) && (machined || new)
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
        let deciding = self.deciding()?;
        let turned = self.pair.row.characteristic == Characteristic::Interference;
        let end = |loosest: bool| self.stack(loosest).map(|stack| End::of(stack, turned));
        let (loose, tight) = (end(true)?, end(false)?);
        let (value, other, band) = worst(&deciding, loose.value, tight.value, turned);
        let (low, high) = if turned { (&loose, &tight) } else { (&tight, &loose) };
        let probability = conformity(&deciding.proof, low, high);
        let mut notes = Vec::new();
        if deciding.limits.touches(value) {
            notes.push(Note::OnLimit);
        }
        if band == Band::Serviceable {
            notes.push(Note::OutsideNew);
        }
        let used = || loose.stack.members().chain(tight.stack.members());
        let shown = |name: &str, value: Exact| PlaceShown { name: name.to_owned(), value };
        let plain = plain::of(self.pair.row.characteristic);
        Some(Judged {
            value,
            other: Some(other),
            deciding: Some(deciding),
            band,
            probability,
            proof: proof(band, probability, self.level),
            u: loose.u.zip(tight.u).map(|(loose, tight)| loose.max(tight)),
            places: vec![shown("loosest", loose.value), shown("tightest", tight.value)],
            readings: readings_used(used()),
            gauges: gauges_used(used()),
            corrected: used().any(|v| v.corrected),
            rule: plain.rule,
            source: plain.source,
            notes,
        })
    }
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
        let u = stack.error();
        Self { stack, value, u }
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

/// P(low end not below min and high end not above max): one minus both tails, exact where both ends are one
/// stack and a lower bound else.
fn conformity(limits: &Limits, low: &End<'_>, high: &End<'_>) -> Option<f64> {
    let (u_low, u_high) = (low.u?, high.u?);
    let under_max = limits.max.map_or(1.0, |max| phi((max - high.value).to_mm() / u_high));
    let under_min = limits.min.map_or(0.0, |min| phi((min - low.value).to_mm() / u_low));
    Some((under_max - under_min).clamp(0.0, 1.0))
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
