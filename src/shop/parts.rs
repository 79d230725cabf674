//! Parts: where each is, which way round it sat, and what was done to the piece that is there now.

use crate::facts::{
    Assembly, Body, Fact, Operation, PartBody, PartEvent, PartState, SizeWord, TestKind, TestResult,
};
use crate::sheets::{Part, Sheet, fold_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::orders::Orders;
use crate::shop::places::{PartPlace, part_of, part_places, places_of_part, surfaces_of};
use crate::shop::said::Said;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is known of one part of the engine: a part kind at a position.
#[derive(Clone, Debug, Default)]
pub struct PartLife {
    /// 1 for the part that came in, one more for each replacement.
    pub instance: usize,
    /// Whether a replacement is new or used.
    pub state: Option<PartState>,
    /// The piece that is there now took the place of another.
    pub renewed: Option<Said>,
    /// It came off the engine.
    pub off: Option<Said>,
    /// It did not come.
    pub missing: Option<Said>,
    /// Where it lies.
    pub lies: Option<(Said, String)>,
    /// The bath it lies in.
    pub in_bath: Option<(Said, String)>,
    /// It went out and has not come back: who sent it, to whom and with which order.
    pub out: Option<(Said, OutWith)>,
    /// Cleaned, and how.
    pub cleaned: Option<(Said, String)>,
    /// Fitted.
    pub fitted: Option<FittedNow>,
    /// Thrown away.
    pub scrapped: Option<Said>,
    /// Which way round it sat.
    pub way_round: String,
    /// Numbers and marks read on it.
    pub marks: String,
    /// Size-class group, folded, and size of each stamp.
    pub stamps: Vec<(String, SizeWord)>,
    /// Work on the piece that is there now, in recorded order.
    pub worked: Vec<Worked>,
    /// Tests of the piece that is there now, in recorded order.
    pub tests: Vec<TestNow>,
    /// The piece that is there now was looked at.
    pub looked: Option<Said>,
}

/// With whom a part is, and why.
#[derive(Clone, Debug)]
pub struct OutWith {
    /// Who has it.
    pub to: String,
    /// Number of the order it went with.
    pub order: String,
}

/// A part as it was fitted.
#[derive(Clone, Debug)]
pub struct FittedNow {
    /// Who fitted it.
    pub said: Said,
    /// New or used, where it was said.
    pub state: Option<PartState>,
    /// Its size class.
    pub size: Option<SizeWord>,
    /// Which way round.
    pub way_round: String,
}

/// Work on a part.
#[derive(Clone, Debug)]
pub struct Worked {
    /// Who did it, or took it back.
    pub said: Said,
    /// What was done.
    pub operation: String,
}

/// A test of a part.
#[derive(Clone, Debug)]
pub struct TestNow {
    /// Who tested it.
    pub said: Said,
    /// What test.
    pub kind: TestKind,
    /// Its result.
    pub result: TestResult,
    /// Pressure, time, method.
    pub how: String,
}

impl TestNow {
    /// It was made with magnetic particles on what is not magnetic: they show nothing there.
    #[must_use]
    pub fn shows_nothing_on(&self, part: &Part) -> bool {
        self.kind == TestKind::MagneticParticle && part.metal.is_some_and(|metal| !metal.is_magnetic())
    }

    /// It shows cracks in such a part.
    #[must_use]
    pub fn finds_cracks_in(&self, part: &Part) -> bool {
        self.kind.finds_cracks() && !self.shows_nothing_on(part)
    }
}

impl PartLife {
    /// It is off the engine, or never was on it.
    #[must_use]
    pub const fn is_accounted_for(&self) -> bool {
        self.off.is_some() || self.missing.is_some() || self.scrapped.is_some()
    }

    /// The piece is not to be had any more: how it went, and who said so.
    #[must_use]
    pub fn gone(&self) -> Option<(&'static str, &Said)> {
        let scrapped = self.scrapped.as_ref().map(|said| ("scrapped", said));
        scrapped.or_else(|| self.missing.as_ref().map(|said| ("missing", said)))
    }

    /// Is anything recorded of it?
    #[must_use]
    pub const fn is_known(&self) -> bool {
        self.instance > 1
            || self.is_accounted_for()
            || self.looked.is_some()
            || self.lies.is_some()
            || self.in_bath.is_some()
            || self.cleaned.is_some()
            || self.fitted.is_some()
            || !self.way_round.is_empty()
            || !self.marks.is_empty()
            || !self.stamps.is_empty()
            || !self.worked.is_empty()
    }

    /// Where it is, in words.
    #[must_use]
    pub fn where_words(&self) -> String {
        let out = self.out.as_ref().filter(|(sent, _)| {
            let gone = self.scrapped.as_ref().or(self.missing.as_ref());
            let here = self.fitted.as_ref().map(|fitted| &fitted.said).into_iter().chain(gone);
            here.into_iter().all(|said| said.at < sent.at)
        });
        if let Some((said, with)) = out {
            return format!("with {} since {} ({})", with.to, said.written, with.order);
        }
        if let Some(fitted) = &self.fitted {
            return format!("fitted ({})", fitted.said.words());
        }
        if self.scrapped.is_some() {
            return "scrapped".to_owned();
        }
        if self.missing.is_some() {
            return "missing".to_owned();
        }
        if let Some((said, bath)) = &self.in_bath {
            let bath = if bath.is_empty() { "bath" } else { bath };
            return format!("in {bath} since {}", said.written);
        }
        match (&self.lies, &self.off) {
            (Some((_, place)), _) => place.clone(),
            (None, Some(_)) => "off, nobody said where it lies".to_owned(),
            (None, None) => "on the engine".to_owned(),
        }
    }

    /// The last work on the piece that can crack it, where no test for cracks came after it.
    #[must_use]
    pub fn untested_work(&self, part: &Part) -> Option<&Worked> {
        let work = self.worked.iter().rfind(|work| part.is_tested_again_after(&work.operation))?;
        let again = |test: &TestNow| test.finds_cracks_in(part) && work.said.at <= test.said.at;
        (!self.tests.iter().any(again)).then_some(work)
    }

    /// What no longer holds of a place once another piece lies there.
    fn renew(&mut self, said: Said, state: Option<PartState>) {
        let instance = self.instance + 1;
        let lies = self.lies.take();
        let renewed = Some(said.clone());
        *self = Self { instance, state, renewed, off: Some(said), lies, ..Self::default() };
    }

    fn happened(&mut self, said: &Said, body: &PartBody) {
        if !body.r#where.is_empty() && body.event != PartEvent::IntoBath {
            self.lies = Some((said.clone(), body.r#where.clone()));
        }
        match body.event {
            PartEvent::Off => {
                (self.off, self.missing, self.fitted) = (Some(said.clone()), None, None);
            }
            PartEvent::Moved => self.in_bath = None,
            PartEvent::IntoBath => self.in_bath = Some((said.clone(), body.r#where.clone())),
            PartEvent::OutOfBath => self.in_bath = None,
            PartEvent::Cleaned => {
                (self.cleaned, self.in_bath) = (Some((said.clone(), body.method.clone())), None);
            }
            PartEvent::Fitted => {
                self.in_bath = None;
                self.fitted = Some(FittedNow {
                    said: said.clone(),
                    state: body.state,
                    size: None,
                    way_round: body.way_round.clone(),
                });
            }
            // What is gone is not in the engine, whatever was said before.
            PartEvent::Scrapped => (self.scrapped, self.fitted) = (Some(said.clone()), None),
            PartEvent::Missing => (self.missing, self.fitted) = (Some(said.clone()), None),
            PartEvent::Replaced => self.renew(said.clone(), body.state),
            PartEvent::StampRead => {}
        }
        // After the match: what is said of a replacement is said of the piece that lies there now.
        for (kept, new) in [(&mut self.way_round, &body.way_round), (&mut self.marks, &body.marks)] {
            if !new.is_empty() {
                kept.clone_from(new);
            }
        }
        let stamps = body.stamps.iter().filter_map(|stamp| Some((fold_name(&stamp.group), stamp.size?)));
        self.stamps.extend(stamps);
    }
}

/// The life of every part of the sheet.
pub(super) struct Parts<'s> {
    sheet: &'s Sheet,
    pub(super) lives: BTreeMap<PartPlace, PartLife>,
    pub(super) held: Vec<Held>,
}

impl<'s> Parts<'s> {
    /// From a job's standing facts in recorded order.
    pub(super) fn of(sheet: &'s Sheet, facts: &[&Arc<Fact>], orders: &Orders) -> Self {
        let mut parts = Self { sheet, lives: every_part(sheet), held: Vec::new() };
        for fact in facts {
            let said = Said::by(fact);
            match &fact.body {
                Body::Part(body) => parts.part(fact, &said, body),
                Body::Finding(finding) => parts.finding(fact, &said, finding),
                Body::Operation(operation) => parts.operation(fact, &said, operation),
                Body::WorkOrder(_) => parts.came_back(&said, orders),
                Body::Assembly(assembly) => parts.assembly(fact, &said, assembly),
                Body::CheckIn(_)
                | Body::Measurements(_)
                | Body::Hardware(_)
                | Body::Supply(_)
                | Body::Decision(_)
                | Body::Account(_)
                | Body::Withdrawal(_)
                | Body::SignOff(_)
                | Body::Gauge(_)
                | Body::Sheet(_)
                | Body::HouseRules(_)
                | Body::People(_)
                | Body::PriceList(_) => {}
            }
        }
        parts.went_out(orders);
        parts
    }

    /// What is with others: the last order that has not come back says with whom.
    fn went_out(&mut self, orders: &Orders) {
        let mut out: Vec<_> = orders.orders.values().collect();
        out.sort_by_key(|order| order.said.order());
        for order in out {
            let places: Vec<PartPlace> = order.parts_out().collect();
            let with = OutWith { to: order.out.to.clone(), order: order.number.clone() };
            // What came in its place since did not go.
            let went = |life: &PartLife| life.renewed.as_ref().is_none_or(|new| new.at <= order.said.at);
            self.each(&places, |life| {
                if went(life) {
                    life.out = Some((order.said.clone(), with.clone()));
                }
            });
        }
    }

    fn each(&mut self, places: &[PartPlace], change: impl Fn(&mut PartLife)) {
        for place in places {
            if let Some(life) = self.lives.get_mut(place) {
                change(life);
            }
        }
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    /// A part that the sheet does not have is held by the history of replacements and stamps.
    fn part(&mut self, _: &Fact, said: &Said, body: &PartBody) {
        if let Ok(places) = part_places(self.sheet, body) {
            self.each(&places, |life| life.happened(said, body));
        }
    }

    fn finding(&mut self, fact: &Fact, said: &Said, finding: &crate::facts::Finding) {
        for (index, seen) in finding.findings.iter().enumerate() {
            match places_of_part(self.sheet, &seen.part, &seen.positions) {
                Ok(places) => self.each(&places, |life| {
                    life.looked = Some(said.clone());
                    let test = seen.test.iter().map(|test| TestNow {
                        said: said.clone(),
                        kind: test.kind,
                        result: test.result,
                        how: test.how.clone(),
                    });
                    life.tests.extend(test);
                }),
                Err(why) => self.hold(fact, &format!("finding {}", index + 1), why),
            }
        }
    }

    fn operation(&mut self, fact: &Fact, said: &Said, operation: &Operation) {
        let mut places = Vec::new();
        for part in &operation.parts {
            match places_of_part(self.sheet, &part.part, &part.positions) {
                Ok(found) => places.extend(found),
                Err(why) => self.hold(fact, &part.part, why),
            }
        }
        // A surface that the sheet does not have is held by the history of surfaces.
        for place in &operation.places {
            let keys = surfaces_of(self.sheet, &place.feature, &place.positions).unwrap_or_default();
            places.extend(keys.into_iter().map(|key| part_of(self.sheet, key)));
        }
        self.worked(places, said, &operation.operation);
    }

    fn came_back(&mut self, said: &Said, orders: &Orders) {
        if let Some((operation, places)) = orders.accepted_in(said.fact) {
            self.worked(places, said, &operation);
        }
    }

    fn worked(&mut self, mut places: Vec<PartPlace>, said: &Said, operation: &str) {
        places.sort_unstable();
        places.dedup();
        let worked = Worked { said: said.clone(), operation: operation.to_owned() };
        self.each(&places, |life| life.worked.push(worked.clone()));
    }

    fn assembly(&mut self, fact: &Fact, said: &Said, assembly: &Assembly) {
        for fitted in &assembly.fitted {
            match places_of_part(self.sheet, &fitted.part, &fitted.positions) {
                Ok(places) => self.each(&places, |life| {
                    life.in_bath = None;
                    life.fitted = Some(FittedNow {
                        said: said.clone(),
                        state: Some(fitted.state),
                        size: fitted.size,
                        way_round: fitted.way_round.clone(),
                    });
                }),
                Err(why) => self.hold(fact, &fitted.part, why),
            }
        }
    }
}

fn every_part(sheet: &Sheet) -> BTreeMap<PartPlace, PartLife> {
    let of_kind = |(kind, part): (usize, &Part)| {
        (0..part.positions.len().max(1))
            .map(move |position| ((kind, position), PartLife { instance: 1, ..PartLife::default() }))
    };
    sheet.parts.iter().enumerate().flat_map(of_kind).collect()
}
