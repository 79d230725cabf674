//! Which readings count, on which instance, in which condition, at which size.

use crate::facts::{
    Body, BoltState, ConditionWord, Digest, Digits, Fact, HouseRules, Measurements, ReadingBody,
};
use crate::metrology::{Exact, Length, Unit, at_reference};
use crate::sheets::{Feature, Sheet, fold_name};
use crate::shop::corrections::{self, SetInfo};
use crate::shop::decisions::Confirmed;
use crate::shop::held::{Held, HeldWhy};
use crate::shop::history::History;
use crate::shop::places::{Spot, spot_of};
use crate::shop::set::FactSet;
use crate::shop::surfaces::{Between, Condition, Place, Reading, ReadingSet, SetKey, SurfaceKey};
use crate::shop::{gauge_in_use::GaugeInUse, gauge_state::one_of, shop_wide::Shop, void, warmth};
use jiff::Timestamp;
use smol_str::{SmolStr, format_smolstr};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What the readings of a job come to.
#[derive(Default)]
pub(super) struct Readings {
    pub(super) sets: BTreeMap<(SurfaceKey, SetKey), ReadingSet>,
    pub(super) held: Vec<Held>,
    /// Those of its drops, each state of one once.
    gauges: Vec<Arc<GaugeInUse>>,
}

/// Everything the readings are understood with.
pub(super) struct Ground<'a> {
    pub(super) sheet: &'a Sheet,
    pub(super) rules: Option<&'a HouseRules>,
    pub(super) set: &'a FactSet,
    pub(super) shop: &'a Shop,
    pub(super) history: &'a History<'a>,
    pub(super) confirmed: &'a BTreeMap<(Digest, Spot), Arc<Confirmed>>,
}

/// A measurements drop with the places of its readings.
struct Located<'f> {
    fact: &'f Fact,
    set: &'f Measurements,
    gauge: Option<Arc<GaugeInUse>>,
    who: Arc<str>,
    corrects: Option<Digest>,
    rows: Vec<(usize, Spot, &'f ReadingBody)>,
}

impl Readings {
    /// From a job's standing facts in recorded order.
    pub(super) fn of(ground: &Ground<'_>, facts: &[&Arc<Fact>]) -> Self {
        let mut readings = Self::default();
        let sets: Vec<Located<'_>> = facts
            .iter()
            .filter_map(|fact| {
                let Body::Measurements(set) = &fact.body else { return None };
                readings.locate(ground, fact, set)
            })
            .collect();
        let infos: Vec<SetInfo> = sets.iter().map(Located::info).collect();
        let counting = corrections::counting(&infos);
        let mut said = Said::of(&sets);
        for set in &sets {
            let spots = counting.as_ref().map(|counting| counting.get(&set.fact.id));
            let counts =
                |spot: &Spot| spots.is_none_or(|spots| spots.is_some_and(|spots| spots.contains(spot)));
            let mut at = Whereabouts::default();
            for (row, spot, body) in set.rows.iter().filter(|(_, spot, _)| counts(spot)) {
                if !said.is_again(set, *spot, body) {
                    readings.place(ground, set, &mut at, *row, *spot, body);
                }
            }
        }
        readings.void_under_old_bolts(ground.sheet);
        readings
    }

    /// New bolts or studs draw a housing otherwise than those before them: what was read of a surface under the old ones
    /// is void once it was read under new ones.
    fn void_under_old_bolts(&mut self, sheet: &Sheet) {
        let clamped =
            |key: &SurfaceKey| sheet.fasteners.iter().any(|group| group.clamps.contains(&key.feature));
        let mut renewed: BTreeMap<(SurfaceKey, usize), Timestamp> = BTreeMap::new();
        for ((key, set), found) in self.sets.iter().filter(|((key, _), _)| clamped(key)) {
            let readings = found.readings.values().flatten();
            let new = readings.filter(|r| matches!(r.bolts, Some(BoltState::New | BoltState::Studs)));
            if let Some(last) = new.map(|reading| reading.recorded).max() {
                let known = renewed.entry((*key, set.instance)).or_insert(last);
                *known = last.max(*known);
            }
        }
        for ((key, set), found) in &mut self.sets {
            let Some(renewed) = renewed.get(&(*key, set.instance)) else { continue };
            for readings in found.readings.values_mut() {
                readings.retain(|r| r.bolts != Some(BoltState::Old) || r.recorded >= *renewed);
            }
            found.readings.retain(|_, readings| !readings.is_empty());
        }
        self.sets.retain(|_, found| !found.readings.is_empty());
    }

    fn hold(&mut self, fact: &Fact, part: String, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part, why });
    }

    /// The readings of a drop with their places; a drop whose gauge or target is unknown waits whole, a
    /// reading whose place is not on the sheet waits alone.
    fn locate<'f>(
        &mut self,
        ground: &Ground<'_>,
        fact: &'f Fact,
        set: &'f Measurements,
    ) -> Option<Located<'f>> {
        let gauge = set.gauge.as_ref().map(|mark| {
            let found = ground.shop.gauge(mark, &fact.head.who, &fact.head.recorded, ground.rules);
            let found = found.map(|found| one_of(&mut self.gauges, found));
            found.ok_or_else(|| HeldWhy::NoSuchGauge(mark.to_string()))
        });
        let corrects = set.corrects.as_ref().map(|corrects| {
            let target = void::resolve(ground.set, &corrects.drop)?;
            let readings = matches!(target.body, Body::Measurements(_));
            readings.then_some(target.id).ok_or_else(|| HeldWhy::NamesAnotherKind(target.id.short()))
        });
        let (gauge, corrects) = match (gauge.transpose(), corrects.transpose()) {
            (Ok(gauge), Ok(corrects)) => (gauge, corrects),
            (Err(why), _) | (_, Err(why)) => {
                self.hold(fact, String::new(), why);
                return None;
            }
        };
        let mut rows = Vec::new();
        for (row, body) in set.readings.iter().enumerate() {
            match spot_of(ground.sheet, body) {
                Ok(spot) => rows.push((row, spot, body)),
                Err(why) => self.hold(fact, format!("reading {}", row + 1), why),
            }
        }
        let who = Arc::from(fact.head.who.as_str());
        Some(Located { fact, set, gauge, who, corrects, rows })
    }

    fn place(
        &mut self,
        ground: &Ground<'_>,
        set: &Located<'_>,
        at: &mut Whereabouts,
        row: usize,
        (key, place): Spot,
        body: &ReadingBody,
    ) {
        let Some(feature) = ground.sheet.features.get(key.feature) else { return };
        let Some(as_read) = set.set.unit().bring(body.read(), feature.unit) else {
            let why = HeldWhy::WrongUnit {
                feature: feature.key.clone(),
                unit: set.set.unit().symbol(),
                wanted: feature.unit.symbol(),
            };
            return self.hold(set.fact, format!("reading {}", row + 1), why);
        };
        let (set_key, operations) = match at.of(ground, set, feature, key) {
            Ok(found) => found,
            Err(why) => return self.hold(set.fact, format!("reading {}", row + 1), why),
        };
        let material = warmth::Material::of(ground.sheet, feature.part, ground.rules);
        let mut reading = set.reading(row, place, body, (as_read, feature.unit), &material);
        reading.confirmed = ground.confirmed.get(&(set.fact.id, (key, place))).map(Arc::clone);
        reading.stated_as_received = operations > 0 && set.set.condition == ConditionWord::AsReceived;
        let entry = self.sets.entry((key, set_key)).or_insert_with(|| {
            let basis = ground.history.basis(key, set_key.instance, set_key.condition.operations());
            ReadingSet { basis, readings: BTreeMap::new() }
        });
        entry.readings.entry(place).or_default().push(reading);
    }
}

/// A value, and of one between blades how far they are apart.
type Value = (Length, Option<Length>);

/// A row said again (same place, value, time and person) is the same reading; two rows of one drop are two readings.
struct Said<'f> {
    /// Times and people that several drops have; with the others nothing can be said again.
    shared: BTreeSet<(Timestamp, &'f str)>,
    first: BTreeMap<(Spot, Value, Timestamp, &'f str), Digest>,
}

impl<'f> Said<'f> {
    fn of(sets: &[Located<'f>]) -> Self {
        let mut seen = BTreeSet::new();
        let shared = sets.iter().map(Located::moment).filter(|moment| !seen.insert(*moment)).collect();
        Self { shared, first: BTreeMap::new() }
    }

    /// Another drop said this before.
    fn is_again(&mut self, set: &Located<'f>, spot: Spot, body: &ReadingBody) -> bool {
        let (recorded, who) = set.moment();
        if !self.shared.contains(&(recorded, who)) {
            return false;
        }
        let said = (body.length, body.blades.as_ref().map(|blades| blades.apart));
        *self.first.entry((spot, said, recorded, who)).or_insert(set.fact.id) != set.fact.id
    }
}

/// In which set the readings of a drop stand, surface by surface. Those of one surface follow each other, so the last
/// answer is kept.
#[derive(Default)]
struct Whereabouts {
    last: Option<(SurfaceKey, Whereabout)>,
}

/// The set, and how many operations had been done on the surface before.
type Whereabout = Result<(SetKey, usize), HeldWhy>;

impl Whereabouts {
    fn of(
        &mut self,
        ground: &Ground<'_>,
        set: &Located<'_>,
        feature: &Feature,
        key: SurfaceKey,
    ) -> Whereabout {
        if let Some((known, found)) = &self.last
            && *known == key
        {
            return found.clone();
        }
        let order = set.fact.order();
        let instance = ground.history.instance_of(key, order);
        let operations = ground.history.operations_before(key, instance, order);
        let condition = match (set.set.condition, operations) {
            (ConditionWord::AfterWork, 0) => {
                let position = feature.positions.get(key.position).map_or("", String::as_str);
                Err(HeldWhy::NothingDoneBefore(format!("{} {position}", feature.key)))
            }
            (ConditionWord::AsReceived, _) => Ok(Condition::AsReceived),
            (ConditionWord::Cleaned, 0) => Ok(Condition::Cleaned),
            (ConditionWord::Cleaned | ConditionWord::AfterWork, k) => Ok(Condition::AfterWork(k)),
            (ConditionWord::AtAssembly, k) => Ok(Condition::AtAssembly(k)),
        };
        let found = condition.map(|condition| (SetKey { instance, condition }, operations));
        self.last = Some((key, found.clone()));
        found
    }
}

impl<'f> Located<'f> {
    /// When it was recorded, and by whom.
    fn moment(&self) -> (Timestamp, &'f str) {
        (self.fact.head.recorded.instant(), self.fact.head.who.as_str())
    }

    fn info(&self) -> SetInfo {
        let spots = self.rows.iter().map(|(_, spot, _)| *spot).collect();
        SetInfo { fact: self.fact.id, corrects: self.corrects, spots }
    }

    fn reading(
        &self,
        row: usize,
        place: Place,
        body: &ReadingBody,
        (as_read, judged_in): (Exact, Unit),
        material: &warmth::Material,
    ) -> Reading {
        let unit = self.set.unit();
        let temperatures = self.set.both_temperatures().filter(|_| unit.is_length());
        let corrected = temperatures
            .and_then(|t| at_reference(as_read, unit, material.expansion, warmth::GAUGE_STEEL, t));
        Reading {
            fact: self.fact.id,
            row,
            place,
            as_read,
            digits: digits(body, self.set.setting.as_ref()),
            unit,
            between: between(body),
            value: corrected.unwrap_or(as_read),
            at_reference: corrected.is_some(),
            warmth: warmth::warmth(self.set, as_read, material),
            gauge: self.gauge.as_ref().map(|gauge| gauge.judged_in(judged_in)),
            who: Arc::clone(&self.who),
            recorded: self.fact.head.recorded.instant(),
            confirmed: None,
            bolts: self.set.bolts,
            plate: self.set.plate,
            stated_as_received: false,
            is_correction: self.corrects.is_some(),
        }
    }
}

/// The digits as they were written.
fn digits(body: &ReadingBody, setting: Option<&Digits>) -> SmolStr {
    match (&body.value, &body.blades, &body.deviation, setting) {
        (Some(value), _, _, _) => value.0.clone(),
        (None, Some(blades), _, _) => format_smolstr!("{} to {}", blades.goes_in, blades.not_in),
        (None, None, Some(deviation), Some(setting)) => format_smolstr!("{setting} {deviation}"),
        (None, None, _, _) => SmolStr::default(),
    }
}

fn between(body: &ReadingBody) -> Option<Between> {
    let half = body.blades.as_ref()?.apart.half().to_mm();
    Some(Between { half, goes_in: body.length > Length::ZERO })
}

/// Marks of the gauges that readings name, folded: whom to fold again when a gauge changes.
pub(super) fn gauges_named(facts: &[&Arc<Fact>]) -> BTreeSet<String> {
    let mut marks = BTreeSet::new();
    for fact in facts {
        if let Body::Measurements(set) = &fact.body {
            marks.extend(set.gauge.iter().map(|mark| fold_name(mark)));
        }
        if let Body::Assembly(assembly) = &fact.body {
            let named = assembly.torque.iter().filter(|torque| !torque.wrench.trim().is_empty());
            marks.extend(named.map(|torque| fold_name(&torque.wrench)));
        }
    }
    marks
}
