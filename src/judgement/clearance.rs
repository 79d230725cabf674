//! Clearance of a pair: outer less walls less inner, position by position.
//!
//! Loosest is the largest outer less the thinnest walls less the smallest inner, against the maximum; tightest
//! the other way, against the minimum. Judged at new limits when outer or inner is new or machined (members
//! that are always renewed aside), else at service with "outside new" said. What gauges share is kept shared:
//! a bore gauge set from the micrometer that measured the shaft carries the same setting error, which
//! cancels; one micrometer for both walls carries its error twice with one sign.

use crate::facts::PartState;
use crate::judgement::cross_checks;
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::{Present, is_asked};
use crate::judgement::stack::{self, Members, Which};
use crate::judgement::values::PlaceValue;
use crate::judgement::{Verdict, VerdictKey};
use crate::sheets::{Feature, Member, Pair, Sheet};
use crate::shop::{Condition, Job, Place, Surface, SurfaceKey};
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
    cross_checks::among_pairs(sheet, &mut verdicts);
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
            fallback: None,
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
            self.places(member).count()
                < member.stations_of(feature).len() * member.directions_of(feature).len()
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

    /// The places of a member that count, with their values.
    fn places(&self, member: &Member) -> impl Iterator<Item = (Place, &'a PlaceValue)> {
        stack::places(self.sheet, self.present, member, self.position)
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

    fn judged(&self) -> Option<Judged> {
        let deciding = stack::deciding(self.pair, self.is_made_new())?;
        let values = |which: Which, member: &Member| {
            let here = |(at, _): &(Place, &PlaceValue)| which.counts(self.pair, *at);
            Some(self.places(member).filter(here).map(|(_, value)| value).collect())
        };
        let members = Members::of(self.pair, self.sheet, &deciding, values)?;
        stack::judged(self.pair, &deciding, &members, self.level)
    }
}
