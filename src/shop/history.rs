//! What happened to parts and surfaces: replacements, stamps and operations, in recorded order.

use crate::facts::{Body, Digest, Fact, Operation, PartBody, PartEvent, PartState, SizeWord};
use crate::sheets::{Sheet, fold_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::orders::{Orders, SurfaceWork};
use crate::shop::places::{
    PartPlace, exact_of, fits_all, part_of, part_places, stamp_fits, surfaces_of, those_at,
};
use crate::shop::surfaces::{Done, SurfaceKey};
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Recorded time and name: the order among facts.
pub(super) type Order = (Timestamp, Digest);

/// The past of every part and surface of one job.
pub(super) struct History<'s> {
    sheet: &'s Sheet,
    replaced: BTreeMap<PartPlace, Vec<(Order, Option<PartState>)>>,
    /// Instance, folded group and size of each stamp.
    stamps: BTreeMap<PartPlace, Vec<(usize, String, SizeWord)>>,
    done: BTreeMap<SurfaceKey, Vec<(Order, Done)>>,
    pub(super) held: Vec<Held>,
}

/// The surfaces that move when these are machined: at the same position where both features have the same
/// positions, else everywhere.
fn moved_by(sheet: &Sheet, worked: &[SurfaceKey]) -> Vec<SurfaceKey> {
    let mut moved = std::collections::BTreeSet::new();
    for (index, feature) in sheet.features.iter().enumerate() {
        for key in worked.iter().filter(|key| feature.moved_by.contains(&key.feature)) {
            let alike = sheet.features.get(key.feature).is_some_and(|f| f.positions == feature.positions);
            let positions = if alike { key.position..key.position + 1 } else { 0..feature.positions.len() };
            moved.extend(positions.map(|position| SurfaceKey { feature: index, position }));
        }
    }
    moved.into_iter().filter(|key| !worked.contains(key)).collect()
}

impl<'s> History<'s> {
    /// From a job's standing facts in recorded order. Replacements first: what came before and after decides
    /// which instance a stamp or an operation belongs to.
    pub(super) fn of(sheet: &'s Sheet, facts: &[&Arc<Fact>], orders: &Orders) -> Self {
        let mut history = Self {
            sheet,
            replaced: BTreeMap::new(),
            stamps: BTreeMap::new(),
            done: BTreeMap::new(),
            held: Vec::new(),
        };
        let parts = facts.iter().filter_map(|fact| {
            let Body::Part(body) = &fact.body else { return None };
            Some((*fact, body))
        });
        for (fact, body) in parts.clone() {
            history.replacement(fact, body);
        }
        for (fact, body) in parts {
            history.stamped(fact, body);
        }
        for fact in facts {
            if let Body::Operation(operation) = &fact.body {
                history.operation(fact, operation);
            } else if let Some(work) = orders.work_in(fact.id) {
                history.worked(fact, work);
            }
        }
        history
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    fn replacement(&mut self, fact: &Fact, body: &PartBody) {
        match part_places(self.sheet, body) {
            Ok(places) if body.event == PartEvent::Replaced => {
                for place in places {
                    self.replaced.entry(place).or_default().push((fact.order(), body.state));
                }
            }
            Ok(_) => {}
            Err(why) => self.hold(fact, "", why),
        }
    }

    fn stamped(&mut self, fact: &Fact, body: &PartBody) {
        let Ok(places) = part_places(self.sheet, body) else { return };
        for stamp in &body.stamps {
            match (stamp_fits(self.sheet, stamp), stamp.size) {
                (Ok(()), Some(size)) => {
                    for place in &places {
                        let instance = self.instance(*place, fact.order());
                        self.stamps.entry(*place).or_default().push((
                            instance,
                            fold_name(&stamp.group),
                            size,
                        ));
                    }
                }
                (Ok(()), None) => {}
                (Err(HeldWhy::NoSuchSize(size)), _) if body.unit_symbol.is_empty() => {
                    let size = format!("{size} (read as millimetres, since it says no unit)");
                    self.hold(fact, &stamp.group, HeldWhy::NoSuchSize(size));
                }
                (Err(why), _) => self.hold(fact, &stamp.group, why),
            }
        }
    }

    fn operation(&mut self, fact: &Fact, operation: &Operation) {
        let mut keys = Vec::new();
        for place in &operation.places {
            let found = surfaces_of(self.sheet, &place.feature, &place.positions);
            match found.and_then(|found| fits_all(self.sheet, &found, operation.finished).map(|()| found)) {
                Ok(found) => keys.extend(found),
                // Half an operation would be a guess at what was meant.
                Err(why) => return self.hold(fact, &place.feature, why),
            }
        }
        let removed = operation.removed.as_ref().and_then(|digits| exact_of(digits, &operation.unit_symbol));
        let work = SurfaceWork {
            operation: operation.operation.clone(),
            finished: operation.finished,
            removed,
            surfaces: keys,
        };
        self.worked(fact, work);
    }

    /// Work on surfaces, done in the house or accepted back.
    fn worked(&mut self, fact: &Fact, mut work: SurfaceWork) {
        work.surfaces.sort_unstable();
        work.surfaces.dedup();
        let moved = moved_by(self.sheet, &work.surfaces);
        // What moves without being touched keeps its size class and loses no metal, but is measured again.
        let worked = work.surfaces.iter().map(|key| (*key, work.finished, work.removed));
        let all: Vec<_> = worked.chain(moved.into_iter().map(|key| (key, None, None))).collect();
        for (key, finished, removed) in all {
            let done = Done {
                fact: fact.id,
                operation: work.operation.clone(),
                finished,
                removed,
                who: fact.head.who.to_string(),
                recorded: fact.head.recorded.short(),
                instance: self.instance_of(key, fact.order()),
            };
            self.done.entry(key).or_default().push((fact.order(), done));
        }
    }

    /// 1 for the part that came in; one more for each replacement recorded up to then.
    pub(super) fn instance(&self, place: PartPlace, order: Order) -> usize {
        1 + self.replaced.get(&place).map_or(0, |all| all.iter().filter(|(at, _)| *at <= order).count())
    }

    /// The same of a surface: one more for each replacement of its own part and of those it was made together with.
    pub(super) fn instance_of(&self, key: SurfaceKey, order: Order) -> usize {
        let made_with = self.made_with(key).map(|place| self.instance(place, order) - 1);
        self.instance(part_of(self.sheet, key), order) + made_with.sum::<usize>()
    }

    /// Was what is there now there at that time? Of a surface's own part: what it was made together with may change and
    /// the work on it be meant for that.
    pub(super) fn is_of_present(&self, key: SurfaceKey, order: Order) -> bool {
        let place = part_of(self.sheet, key);
        self.instance(place, order) == self.present(place).0
    }

    /// The same of a surface as it is now, and whether its own part was replaced by a new one.
    pub(super) fn present_of(&self, key: SurfaceKey) -> (usize, Option<PartState>) {
        let (own, state) = self.present(part_of(self.sheet, key));
        (own + self.made_with(key).map(|place| self.present(place).0 - 1).sum::<usize>(), state)
    }

    /// The parts a surface was made together with.
    fn made_with(&self, key: SurfaceKey) -> impl Iterator<Item = PartPlace> + '_ {
        let feature = self.sheet.features.get(key.feature);
        let position = feature.and_then(|feature| feature.positions.get(key.position)).map(String::as_str);
        let kinds = feature.into_iter().flat_map(|feature| &feature.made_with);
        kinds.flat_map(move |kind| those_at(self.sheet, *kind, position))
    }

    /// The instance that is there now, and whether a replacement was new.
    pub(super) fn present(&self, place: PartPlace) -> (usize, Option<PartState>) {
        let all = self.replaced.get(&place).map_or(&[][..], Vec::as_slice);
        (1 + all.len(), all.last().and_then(|(_, state)| *state))
    }

    /// Everything done to a surface.
    pub(super) fn done(&self, key: SurfaceKey) -> Vec<Done> {
        self.done.get(&key).map_or_else(Vec::new, |all| all.iter().map(|(_, done)| done.clone()).collect())
    }

    /// How many operations on this instance were recorded before.
    pub(super) fn operations_before(&self, key: SurfaceKey, instance: usize, order: Order) -> usize {
        let all = self.done.get(&key).map_or(&[][..], Vec::as_slice);
        all.iter().filter(|(at, done)| done.instance == instance && *at < order).count()
    }

    /// Size class of an instance after so many operations: of the last that changed it, else of the latest
    /// stamp on that instance, else none, which is standard.
    pub(super) fn basis(&self, key: SurfaceKey, instance: usize, operations: usize) -> Option<SizeWord> {
        let all = self.done.get(&key).map_or(&[][..], Vec::as_slice);
        let mine = all.iter().filter(|(_, done)| done.instance == instance).take(operations);
        if let Some(finished) = mine.filter_map(|(_, done)| done.finished).last() {
            return Some(finished);
        }
        let feature = self.sheet.features.get(key.feature)?;
        // What is bought in the size of something else carries the stamp of that: a shell that of its journals.
        let bought = self.sheet.parts.get(feature.part).and_then(|part| part.sized_by.as_ref());
        let group = fold_name(if feature.group.is_empty() {
            bought.map_or("", String::as_str)
        } else {
            &feature.group
        });
        let part = part_of(self.sheet, key);
        let stamps = self.stamps.get(&part)?;
        // A stamp is its own part's, whatever that was made together with.
        let instance = if feature.made_with.is_empty() { instance } else { self.present(part).0 };
        let of_group = stamps.iter().filter(|(i, g, _)| *i == instance && *g == group && !group.is_empty());
        of_group.map(|(_, _, size)| *size).next_back()
    }
}
