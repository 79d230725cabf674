//! A named person's word that a questioned reading is right, held against its evidence.
//!
//! It rests on the readings of that place in that condition, at the size in hand (of the whole set, where the set is
//! asked about as one); its outcome is why the reading is asked about when nobody has confirmed any of them. The confirmed
//! drop is named by its digest, so the reading itself cannot have changed: what can is what stands beside it.

use crate::facts::{Checked, Code, Digest};
use crate::judgement::questions::reach::Reach;
use crate::judgement::questions::whys::Whys;
use crate::judgement::questions::{Asking, Question, QuestionWhy, repeats_conflict};
use crate::judgement::values::ReadingRef;
use crate::metrology::repeats::MOST_REPEATS;
use crate::shop::{Place, Reading, ReadingSet, Said};
use std::cell::OnceCell;

/// A confirmed reading.
#[derive(Clone, Debug)]
pub struct Confirmation {
    /// `main journal 4 front X`.
    pub name: String,
    /// Its digits as written, with the unit.
    pub digits: String,
    /// The reading.
    pub reading: ReadingRef,
    /// Who confirmed it.
    pub said: Said,
    /// Why it is right.
    pub why: String,
    /// The word against its evidence.
    pub checked: Checked,
}

/// One place of a set.
pub(super) struct Spot<'a> {
    asking: &'a Asking<'a>,
    whys: &'a Whys,
    set: &'a ReadingSet,
    place: Place,
    readings: &'a [Reading],
    /// Of all readings of the place together, worked out once.
    all: OnceCell<Together>,
}

/// What the codes of several readings have in common.
struct Together {
    facts: Digest,
    conflict: Option<QuestionWhy>,
}

/// Every confirmed reading of a set.
pub(in crate::judgement) fn confirmations(asking: &Asking<'_>, set: &ReadingSet) -> Vec<Confirmation> {
    let mut found = Vec::new();
    if set.readings.values().flatten().all(|reading| reading.confirmed.is_none()) {
        return found;
    }
    let Some(reach) = Reach::of(asking.feature) else { return found };
    let whys = Whys::of(asking, &reach, set);
    for (place, readings) in &set.readings {
        let spot = Spot::of(asking, &whys, set, (*place, readings));
        found.extend(readings.iter().filter_map(|reading| spot.word_on(reading)));
    }
    found
}

impl<'a> Spot<'a> {
    pub(super) const fn of(
        asking: &'a Asking<'a>,
        whys: &'a Whys,
        set: &'a ReadingSet,
        (place, readings): (Place, &'a [Reading]),
    ) -> Self {
        Self { asking, whys, set, place, readings, all: OnceCell::new() }
    }

    /// The word on a reading, if there is one.
    pub(super) fn word_on(&self, reading: &Reading) -> Option<Confirmation> {
        let word = reading.confirmed.as_deref()?;
        let then = || {
            // Whoever confirms a drop by name has seen it, whatever the clocks said.
            let seen = |other: &&Reading| other.recorded <= word.said.at || other.fact == reading.fact;
            self.code(&self.together(seen), reading)
        };
        let now = self.code(self.all(), reading);
        Some(Confirmation {
            name: self.name(),
            digits: digits(reading),
            reading: ReadingRef { fact: reading.fact, row: reading.row },
            said: word.said.clone(),
            why: word.why.clone(),
            checked: Checked::against(word.evidence.as_deref(), now, then),
        })
    }

    pub(super) fn question(&self, reading: &Reading, why: QuestionWhy) -> Question {
        let was = match (&reading.confirmed, self.word_on(reading)) {
            (Some(word), Some(now)) if !now.checked.stands() => {
                format!("was confirmed by {} on other evidence", word.said.words())
            }
            (Some(_) | None, _) => String::new(),
        };
        Question {
            surface: self.asking.surface,
            set: self.asking.set,
            place: self.place,
            name: self.name(),
            reading: ReadingRef { fact: reading.fact, row: reading.row },
            digits: digits(reading),
            who: reading.who.to_string(),
            why,
            stands: self.asking.stands,
            code: self.code(self.all(), reading),
            was,
        }
    }

    fn name(&self) -> String {
        format!("{} {}", self.asking.name, self.place.name(self.asking.feature)).trim().to_owned()
    }

    fn all(&self) -> &Together {
        self.all.get_or_init(|| self.together(|_| true))
    }

    fn together(&self, seen: impl Fn(&&Reading) -> bool) -> Together {
        let readings = || self.readings.iter().filter(&seen);
        let mut facts = vec![format!("{:?} {:?}", self.asking.set, self.set.basis)];
        let gauge = |r: &Reading| match (&r.gauge, r.between) {
            (None, _) => "None".to_owned(),
            (Some(gauge), None) => gauge.evidence(),
            (Some(gauge), Some(_)) => gauge.evidence_of_blades(),
        };
        let fact = |r: &Reading| format!("{}:{} {}", r.fact.hex(), r.row, gauge(r));
        if self.whys.is_whole() {
            facts.extend(self.set.readings.values().flatten().filter(&seen).map(fact));
        } else {
            facts.extend(readings().map(fact));
        }
        let facts = Code::half(facts.iter().map(String::as_str).collect());
        let sound: Vec<&Reading> = readings().filter(|reading| !self.whys.asks(reading)).collect();
        let many = sound.len() > MOST_REPEATS;
        let conflict =
            if many { Some(QuestionWhy::TooMany) } else { repeats_conflict::why(self.asking.unit, &sound) };
        Together { facts, conflict }
    }

    /// The outcome is why the reading is asked about when nobody has confirmed any.
    fn code(&self, together: &Together, of: &Reading) -> Code {
        let why =
            self.whys.get(of).or(together.conflict.as_ref()).map_or_else(String::new, QuestionWhy::evidence);
        Code::of(together.facts, Code::half(vec![&why]))
    }
}

fn digits(reading: &Reading) -> String {
    format!("{} {}", reading.digits, reading.unit.symbol())
}
