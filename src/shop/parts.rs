//! Parts: the statements about each, folded into its life.

use crate::facts::{Assembly, Body, Fact, Operation, PartBody, PartEvent};
use crate::sheets::{Part, Sheet};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::orders::Orders;
use crate::shop::part_life::{FittedNow, OutWith, PartLife, TestNow, Worked};
use crate::shop::places::{PartPlace, carried_by, part_of, part_places, places_of_part, surfaces_of};
use crate::shop::said::Said;
use std::collections::BTreeMap;
use std::sync::Arc;

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
            if body.event == PartEvent::Replaced {
                self.each(&carried_by(self.sheet, &places), |life| life.came_off_with_it(said));
            }
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
                    (life.in_bath, life.unplaced) = (None, None);
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
