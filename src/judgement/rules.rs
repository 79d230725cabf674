//! Every row at every position: gather the values, choose the limits, ask the rule.

use crate::facts::{BoltState, PartState, SizeWord};
use crate::judgement::by_rule::by_rule;
use crate::judgement::deciding::{Deciding, Situation};
use crate::judgement::judged::{Judged, Note, PlaceShown};
use crate::judgement::questions::{self, Question};
use crate::judgement::values::{PlaceValue, ReadingRef, Values, value_of};
use crate::judgement::worked::without_a_value;
use crate::judgement::{
    Judgement, Verdict, VerdictKey, clearance, cross_checks, fallback, gasket, gauged, plain, set,
};
use crate::sheets::{Asked, Characteristic, Feature, Row, Sheet, same_name};
use crate::shop::{Condition, Job, Place, Reading, ReadingSet, SetKey, Surface, SurfaceKey};
use std::collections::{BTreeMap, BTreeSet};

/// What a rule works on.
pub(super) struct Bench<'a> {
    pub(super) feature: &'a Feature,
    pub(super) row: &'a Row,
    pub(super) basis: Option<SizeWord>,
    pub(super) level: f64,
}

/// The values of one surface in the set that speaks for it, for pairs and for whoever asks what other parts would come to.
#[derive(Clone, Debug)]
pub(super) struct Present {
    pub(super) key: SetKey,
    pub(super) values: Values,
    pub(super) resized: bool,
}

/// Judges everything a job's readings and its sheet give rise to. Pure: the same job, the same judgement.
#[must_use]
pub fn judge(job: &Job) -> Judgement {
    let Some(sheet) = job.sheet.as_deref() else { return Judgement::default() };
    let level = job.rules.as_ref().map_or(0.95, |rules| rules.level());
    let (mut judgement, present) = surfaces(job, sheet, level);
    judgement.verdicts.extend(clearance::judge_pairs(job, sheet, &present, level));
    judgement.verdicts.extend(set::judge_sets(job, sheet, &present, level));
    cross_checks::against_read(job, sheet, &mut judgement.verdicts);
    judgement.gaskets = gasket::choices(sheet, &present);
    note_gaskets(&mut judgement);
    plain::note_bends(job, &mut judgement, level);
    gauged::weigh(job, &mut judgement);
    fallback::offer(job, sheet, &mut judgement);
    judgement.present = present;
    judgement
}

fn surfaces(job: &Job, sheet: &Sheet, level: f64) -> (Judgement, BTreeMap<SurfaceKey, Present>) {
    let (mut judgement, mut present) = (Judgement::default(), BTreeMap::new());
    for (key, surface) in &job.surfaces {
        let Some(feature) = sheet.features.get(key.feature) else { continue };
        let judge = SurfaceJudge { job, feature, key: *key, name: job.surface_name(*key), surface, level };
        judge.all(&mut judgement, &mut present);
    }
    (judgement, present)
}

/// What one set comes to once its questioned readings are out.
struct Found {
    values: Values,
    unworn: Values,
    /// Places with a questioned reading.
    asking: BTreeSet<Place>,
    at: Situation,
}

impl Found {
    fn nothing(at: Situation) -> Self {
        Self { values: Values::new(), unworn: Values::new(), asking: BTreeSet::new(), at }
    }
}

/// The verdict of the part that chooses a gasket says which.
fn note_gaskets(judgement: &mut Judgement) {
    for choice in &judgement.gaskets {
        let highest = judgement.verdicts.iter_mut().filter(|verdict| {
            verdict.stands
                && verdict.key.surface == choice.highest
                && verdict.key.characteristic == Characteristic::Protrusion
        });
        for judged in highest.filter_map(|verdict| verdict.judged.as_mut()) {
            judged.notes.push(Note::Gasket(choice.words()));
        }
    }
}

struct SurfaceJudge<'a> {
    job: &'a Job,
    feature: &'a Feature,
    key: SurfaceKey,
    name: String,
    surface: &'a Surface,
    level: f64,
}

impl SurfaceJudge<'_> {
    fn all(&self, judgement: &mut Judgement, present: &mut BTreeMap<SurfaceKey, Present>) {
        let before = self.surface.before_assembly().map(|(key, _)| *key);
        let assembly = self.surface.assembly_key();
        let mut sets = BTreeMap::new();
        for (set_key, set) in &self.surface.sets {
            let stands = before == Some(*set_key) || assembly == *set_key;
            let peers = || self.peers(set_key);
            let asking = questions::Asking { peers: &peers, ..self.asking(set_key, set, stands) };
            let found = questions::ask(&asking, set);
            judgement.confirmations.extend(questions::confirmations(&asking, set));
            let (values, unworn) = self.values(set, &found);
            let asking = found.iter().map(|question| question.place).collect();
            judgement.questions.extend(found);
            sets.insert(*set_key, Found { values, unworn, asking, at: self.situation(*set_key, set.basis) });
        }
        let fitted = sets.get(&assembly);
        for (set_key, found) in &sets {
            for row in self.rows() {
                // What is measured again as it goes together no longer stands as it came in.
                let again = before == Some(*set_key) && fitted.is_some_and(|f| self.measured_again(row, f));
                let stands = assembly == *set_key || (before == Some(*set_key) && !again);
                judgement.verdicts.extend(self.row(row, stands, found));
            }
        }
        if before.is_none() {
            let key = SetKey { instance: self.surface.instance, condition: self.surface.condition_now() };
            // Read as it goes together it was read after the last work, but not as it came in.
            // Under new bolts it is another housing than the one that came, and what was read of that is void.
            let speaks = key.condition.operations() > 0 || self.is_under_new_bolts(&assembly);
            let fitted = fitted.filter(|_| speaks);
            let is_open = |row: &&Row| !fitted.is_some_and(|f| missing(self.feature, row, f).is_empty());
            let open = self.rows().filter(is_open);
            judgement.verdicts.extend(open.filter_map(|row| self.awaited(row, key)));
        }
        if fitted.is_none() {
            judgement.verdicts.extend(self.rows().filter_map(|row| self.awaited(row, assembly)));
        }
        judgement.verdicts.extend(self.removed());
        self.present(before, &assembly, sets, present);
    }

    /// Some reading of a set was taken with new bolts or studs.
    fn is_under_new_bolts(&self, key: &SetKey) -> bool {
        let readings = self.surface.sets.get(key).into_iter().flat_map(|set| set.readings.values().flatten());
        readings.into_iter().any(|reading| matches!(reading.bolts, Some(BoltState::New | BoltState::Studs)))
    }

    /// Rows that readings of this one surface answer.
    fn rows(&self) -> impl Iterator<Item = &Row> {
        let elsewhere = |row: &&Row| {
            let of = row.characteristic;
            of.is_of_sets() || matches!(of, Characteristic::Removed | Characteristic::Rate)
        };
        self.feature.rows.iter().filter(move |row| !elsewhere(row))
    }

    /// What was taken off altogether; no reading says it.
    fn removed(&self) -> Option<Verdict> {
        let row = self.feature.row(Characteristic::Removed)?;
        let key = SetKey { instance: self.surface.instance, condition: self.surface.condition_now() };
        let judged = plain::removed::judge(row, self.surface, self.level);
        let asked = is_asked(self.job, row, key.condition);
        let missing = plain::removed::unsaid(self.surface);
        let at = self.situation(key, self.surface.basis);
        (judged.is_some() || asked).then(|| self.verdict(row, &at, true, asked, missing, judged))
    }

    /// The row is asked at assembly, and its surface has readings from there.
    fn measured_again(&self, row: &Row, fitted: &Found) -> bool {
        is_asked(self.job, row, fitted.at.condition) && !fitted.values.is_empty()
    }

    /// An empty verdict for a row that is asked in a condition nothing was measured in.
    fn awaited(&self, row: &Row, key: SetKey) -> Option<Verdict> {
        let at = self.situation(key, self.surface.basis);
        is_asked(self.job, row, key.condition).then(|| self.row(row, true, &Found::nothing(at))).flatten()
    }

    /// What pairs are made of: the set from assembly where it is whole, else the one before.
    fn present(
        &self,
        before: Option<SetKey>,
        assembly: &SetKey,
        mut sets: BTreeMap<SetKey, Found>,
        present: &mut BTreeMap<SurfaceKey, Present>,
    ) {
        let places = self.feature.stations.len() * self.feature.directions.len();
        let whole = |found: &Found| found.values.len() == places;
        let use_fitted = before.is_none() || sets.get(assembly).is_some_and(whole);
        let key = if use_fitted { Some(*assembly) } else { before };
        if let Some((key, found)) = key.and_then(|key| Some((key, sets.remove(&key)?))) {
            present.insert(self.key, Present { key, values: found.values, resized: found.at.resized });
        }
    }

    fn situation(&self, key: SetKey, basis: Option<SizeWord>) -> Situation {
        let done = self.surface.done.iter().filter(|done| done.instance == key.instance);
        let resized = done.take(key.condition.operations()).any(|done| done.finished.is_some());
        Situation { instance: key.instance, condition: key.condition, basis, resized }
    }

    /// Finished to a size in this rebuild, or of a part that is new.
    fn is_fresh(&self, key: SetKey, basis: Option<SizeWord>) -> bool {
        let new = self.surface.state == Some(PartState::New) && key.instance == self.surface.instance;
        new || self.situation(key, basis).resized
    }

    fn asking(&self, key: &SetKey, set: &ReadingSet, stands: bool) -> questions::Asking<'_> {
        questions::Asking {
            feature: self.feature,
            surface: self.key,
            name: self.name.clone(),
            unit: self.feature.unit,
            set: *key,
            new: self.feature.new_limits(set.basis.and_then(SizeWord::step)),
            fresh: self.is_fresh(*key, set.basis),
            stands,
            peers: &Vec::new,
        }
    }

    /// The other positions of the feature that were read in this condition.
    fn peers(&self, key: &SetKey) -> Vec<questions::Peer> {
        let (first, last) =
            (SurfaceKey { position: 0, ..self.key }, SurfaceKey { position: usize::MAX, ..self.key });
        let others = self.job.surfaces.range(first..=last).filter(|(of, _)| **of != self.key);
        let sets = others.flat_map(|(of, surface)| {
            let judge = SurfaceJudge { name: String::new(), key: *of, surface, ..*self };
            let sets = surface.sets.iter().filter(|(of, _)| of.condition == key.condition);
            sets.map(move |(key, set)| {
                let new = self.feature.new_limits(set.basis.and_then(SizeWord::step));
                questions::Peer { new, fresh: judge.is_fresh(*key, set.basis), set: set.clone() }
            })
        });
        sets.collect()
    }

    /// Values of the judged places and of the unworn band, without questioned readings.
    fn values(&self, set: &ReadingSet, questions: &[Question]) -> (Values, Values) {
        let out: BTreeSet<ReadingRef> = questions.iter().map(|question| question.reading).collect();
        let (mut values, mut unworn) = (Values::new(), Values::new());
        for (place, readings) in &set.readings {
            let counting: Vec<_> =
                readings.iter().filter(|r| !out.contains(&ReadingRef { fact: r.fact, row: r.row })).collect();
            let Some(mut value) = value_of(&counting) else { continue };
            if let Some(lobing) = self.feature.lobing {
                value.error = value.error.map(|error| error.lobed(lobing.to_mm()));
            }
            let judged = place.station < self.feature.stations.len();
            if judged {
                values.insert(*place, value)
            } else {
                unworn.insert(*place, value)
            };
        }
        (values, unworn)
    }

    fn row(&self, row: &Row, stands: bool, found: &Found) -> Option<Verdict> {
        let at = &found.at;
        // What was cut to a size has not worn since.
        if row.characteristic == Characteristic::Wear && at.resized {
            return None;
        }
        let bench = Bench { feature: self.feature, row, basis: at.basis, level: self.level };
        let deciding = Deciding::of(self.feature, row, self.surface, at);
        let mut judged = by_rule(&bench, &found.values, &found.unworn, deciding);
        if let Some(judged) = &mut judged {
            self.note_readings(row, at, judged);
        }
        let asked = stands && is_asked(self.job, row, at.condition);
        if judged.is_none() && !asked {
            return None;
        }
        let mut missing = missing(self.feature, row, found);
        if judged.is_none() && deciding.is_some() && missing.is_empty() {
            missing.push(nothing_follows(row.characteristic));
        }
        Some(self.verdict(row, at, stands, asked, missing, judged))
    }

    /// Of the readings used: that several people read them, and at which temperature. Of most sets there is nothing to say.
    fn note_readings(&self, row: &Row, at: &Situation, judged: &mut Judged) {
        let set = self.surface.sets.get(&SetKey { instance: at.instance, condition: at.condition });
        let readings = || set.into_iter().flat_map(|set| set.readings.values().flatten());
        let first = readings().next().map(|reading| &reading.who);
        let people = row.characteristic.holds_places_together()
            && readings().any(|r| first.is_some_and(|who| *who != r.who));
        if !people && !readings().any(|reading| reading.at_reference) {
            return;
        }
        let is_used =
            |r: &&Reading| judged.readings.binary_search(&ReadingRef { fact: r.fact, row: r.row }).is_ok();
        let used: Vec<&Reading> = readings().filter(is_used).collect();
        if people && is_by_several(&used) {
            judged.notes.push(Note::SeveralPeople);
        }
        if used.iter().any(|reading| reading.at_reference) {
            judged.notes.push(Note::AtReference);
        }
    }

    fn verdict(
        &self,
        row: &Row,
        at: &Situation,
        stands: bool,
        asked: bool,
        missing: Vec<String>,
        judged: Option<Judged>,
    ) -> Verdict {
        Verdict {
            key: VerdictKey {
                surface: self.key,
                row: row.number,
                characteristic: row.characteristic,
                instance: at.instance,
                condition: at.condition,
                basis: at.basis,
            },
            feature: self.feature.key.clone(),
            name: self.name.clone(),
            unit: row.unit,
            stands,
            asked,
            missing,
            judged,
            fallback: None,
            gauges: Vec::new(),
        }
    }
}

/// Read by more than one person, of whom a study does not know every one.
fn is_by_several(readings: &[&Reading]) -> bool {
    let unknown = |reading: &&Reading| reading.gauge.as_ref().is_none_or(|gauge| gauge.hands.is_none());
    let Some(first) = readings.first() else { return false };
    readings.iter().any(|reading| !same_name(&reading.who, &first.who)) && readings.iter().any(unknown)
}

/// What is asked for and does not come out of readings that are all there is a gap as well.
pub(super) fn nothing_follows(characteristic: Characteristic) -> String {
    format!("all of it again: no {} comes of it", characteristic.word())
}

/// Places of the judged surface without a value; a questioned one says so.
fn missing(feature: &Feature, row: &Row, found: &Found) -> Vec<String> {
    let (values, asking) = (&found.values, &found.asking);
    let lift = row.characteristic == Characteristic::Lift;
    let otherwise = |place: Place| lift && plain::answered_otherwise(feature, values, place);
    let no_lift = without_a_value(feature, values)
        .into_iter()
        .map(|place| format!("{} again: no lift", place.name(feature)));
    let all = (0..feature.stations.len())
        .flat_map(|station| (0..feature.directions.len()).map(move |direction| Place { station, direction }));
    all.filter(|place| !values.contains_key(place) && !otherwise(*place))
        .map(|place| {
            let name = place.name(feature);
            if asking.contains(&place) { format!("{name} (questioned)") } else { name }
        })
        .chain(no_lift)
        .collect()
}

/// Does the sheet ask for this row in this condition, for what came?
pub(super) fn is_asked(job: &Job, row: &Row, condition: Condition) -> bool {
    let wanted = match condition {
        Condition::AsReceived | Condition::Cleaned => Asked::AsReceived,
        Condition::AfterWork(_) => Asked::AfterWork,
        Condition::AtAssembly(_) => Asked::AtAssembly,
    };
    row.asked.iter().any(|(asked, scopes)| *asked == wanted && job.concerns(scopes))
}

/// Every place with its value, in the words of the feature.
pub(super) fn shown<'a>(feature: &'a Feature, values: &'a Values) -> impl Iterator<Item = PlaceShown> + 'a {
    values.iter().map(|(place, value)| PlaceShown { name: place.name(feature), value: value.mean })
}

/// The readings behind some values, each once and in order.
pub(super) fn readings_used<'a>(values: impl Iterator<Item = &'a PlaceValue>) -> Vec<ReadingRef> {
    let mut all: Vec<ReadingRef> = values.flat_map(|value| value.readings.iter().copied()).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The gauges behind some values, each once.
pub(super) fn gauges_used<'a>(values: impl Iterator<Item = &'a PlaceValue>) -> Vec<String> {
    let all: BTreeSet<String> = values
        .filter(|value| !value.readings.is_empty())
        .filter_map(|value| Some(value.error.as_ref()?.gauge.mark.clone()))
        .collect();
    all.into_iter().collect()
}
