//! Bags of fasteners, plugs and pins: what came out, what went back in, and what is still owed an explanation.

use crate::facts::{Body, Fact, Hardware, PartEvent, PieceState, PieceTrouble};
use crate::sheets::{Sheet, fold_name, same_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::places::part_places;
use crate::shop::said::Said;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The pieces of one group of the sheet.
#[derive(Clone, Debug, Default)]
pub struct Bag {
    /// The group, as the sheet writes it.
    pub group: String,
    /// The bag's label.
    pub label: String,
    /// Where it lies.
    pub place: String,
    /// Condition of the threads.
    pub thread: String,
    /// Grade mark on the heads.
    pub grade: String,
    /// By index of the size in the sheet's group and by state; counts are absolute, the latest recorded stands.
    pub counts: BTreeMap<(usize, PieceState), PieceCount>,
}

/// A count of pieces of one size in one state.
#[derive(Clone, Debug)]
pub struct PieceCount {
    /// How many.
    pub count: u32,
    /// Why they are scrapped, spare, lost or broken.
    pub why: String,
    /// Label of their own bag; empty where they lie in the group's.
    pub label: String,
    /// Where they lie; empty where that is with the others.
    pub place: String,
    /// Condition of the threads of this size, where it was said of it alone.
    pub thread: String,
    /// Grade mark of this size, where it was said of it alone.
    pub grade: String,
    /// What is the matter with so many of them.
    pub trouble: Option<(PieceTrouble, u32)>,
    /// Who counted.
    pub said: Said,
}

impl Bag {
    /// Pieces of a size in a state; 0 where nobody counted.
    #[must_use]
    pub fn count(&self, size: usize, state: PieceState) -> u32 {
        self.counts.get(&(size, state)).map_or(0, |count| count.count)
    }

    /// Pieces of a size that came out, or are known not to have come.
    #[must_use]
    pub fn out(&self, size: usize) -> u32 {
        [PieceState::Bagged, PieceState::Lost, PieceState::Broken]
            .iter()
            .map(|state| self.count(size, *state))
            .sum()
    }

    /// Label and place of a size: its own, by the last who said one, else the group's.
    #[must_use]
    pub fn lies(&self, size: usize) -> (&str, &str) {
        let mut own: Vec<&PieceCount> =
            self.counts.iter().filter(|((of, _), _)| *of == size).map(|(_, count)| count).collect();
        own.sort_by_key(|count| count.said.order());
        let last = |of: fn(&PieceCount) -> &str| own.iter().map(|c| of(c)).rfind(|said| !said.is_empty());
        (last(|count| &count.label).unwrap_or(&self.label), last(|count| &count.place).unwrap_or(&self.place))
    }

    /// Pieces of a size that are in the engine again, old or new.
    #[must_use]
    pub fn back_in(&self, size: usize) -> u32 {
        self.count(size, PieceState::Used) + self.count(size, PieceState::Replaced)
    }

    /// Has anybody counted what came out?
    #[must_use]
    pub fn is_counted_out(&self) -> bool {
        self.counts
            .keys()
            .any(|(_, state)| matches!(state, PieceState::Bagged | PieceState::Lost | PieceState::Broken))
    }
}

/// The bags of a job, by folded group.
#[derive(Default)]
pub(super) struct Bags {
    pub(super) bags: BTreeMap<String, Bag>,
    pub(super) held: Vec<Held>,
}

impl Bags {
    /// From a job's standing facts in recorded order.
    pub(super) fn of(sheet: &Sheet, facts: &[&Arc<Fact>]) -> Self {
        let mut bags = Self::default();
        for fact in facts {
            if let Body::Hardware(counted) = &fact.body {
                bags.counted(sheet, fact, counted);
            } else if let Body::Part(body) = &fact.body
                && body.event == PartEvent::Replaced
                && part_places(sheet, body).is_ok()
            {
                bags.another_piece(sheet, &body.part);
            }
        }
        bags
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    /// Plugs that were counted into the piece before are not in this one.
    fn another_piece(&mut self, sheet: &Sheet, part: &str) {
        let Some((part, _)) = sheet.part(part) else { return };
        for group in sheet.plugs.iter().filter(|group| group.sits_in == Some(part)) {
            if let Some(bag) = self.bags.get_mut(&fold_name(&group.group)) {
                bag.counts.retain(|(_, state), _| !matches!(state, PieceState::Used | PieceState::Replaced));
            }
        }
    }

    fn counted(&mut self, sheet: &Sheet, fact: &Fact, counted: &Hardware) {
        let Some((group, sizes, of_group)) = sizes_of(sheet, &counted.group) else {
            return self.hold(
                fact,
                "",
                HeldWhy::NoSuchPlace(format!("group of bolts, plugs or pins {}", counted.group)),
            );
        };
        let said = Said::by(fact);
        for pieces in &counted.pieces {
            let index = match &pieces.size {
                Some(written) => sizes.iter().position(|size| same_name(size, written)),
                None => (of_group == 1).then_some(0),
            };
            let Some(index) = index else {
                let written = pieces.size.clone().unwrap_or_else(|| "without a size".to_owned());
                let known = sizes.join("; ");
                self.hold(
                    fact,
                    &written,
                    HeldWhy::NoSuchPlace(format!("size {written} in {group}, only {known}")),
                );
                continue;
            };
            let bag = self
                .bags
                .entry(fold_name(&group))
                .or_insert_with(|| Bag { group: group.clone(), ..Bag::default() });
            let count = PieceCount {
                count: pieces.count,
                why: counted.why.clone(),
                label: pieces.bag.clone(),
                place: pieces.place.clone(),
                thread: pieces.thread.clone(),
                grade: pieces.grade.clone(),
                trouble: pieces.trouble.map(|trouble| (trouble, pieces.troubled)),
                said: said.clone(),
            };
            bag.counts.insert((index, counted.state), count);
        }
        if let Some(bag) = self.bags.get_mut(&fold_name(&group)) {
            let written = [&counted.bag, &counted.place, &counted.thread, &counted.grade];
            for (kept, new) in
                [&mut bag.label, &mut bag.place, &mut bag.thread, &mut bag.grade].into_iter().zip(written)
            {
                if !new.is_empty() {
                    kept.clone_from(new);
                }
            }
        }
    }
}

/// A group of the sheet as it writes it, what is counted of it, and how many of those are its sizes: the rest goes with
/// them and is always new.
fn sizes_of(sheet: &Sheet, written: &str) -> Option<(String, Vec<String>, usize)> {
    if let Some(fasteners) = sheet.fasteners(written) {
        return Some((
            fasteners.group.clone(),
            fasteners.counted().map(|(size, _)| size.to_owned()).collect(),
            fasteners.sizes.len(),
        ));
    }
    let plugs = sheet.plugs(written)?;
    let sizes: Vec<String> = plugs.sizes.iter().map(|size| size.size.clone()).collect();
    let count = sizes.len();
    Some((plugs.group.clone(), sizes, count))
}
