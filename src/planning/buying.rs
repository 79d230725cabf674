//! What is bought: whatever the plan, and by the size of a group.

use crate::facts::{PriceList, SizeWord};
use crate::planning::at_size::Group;
use crate::planning::line::{Deed, PlanLine};
use crate::planning::prices::Price;
use crate::planning::search::Ways;
use crate::planning::to_order;
use crate::planning::ways::Builder;
use crate::sheets::{Part, same_name};
use std::collections::BTreeSet;

/// Parts in the size of a group.
pub(super) struct Bought {
    pub(super) ways: Vec<Ways>,
    /// Days until those are here that must be in hand before anything is cut.
    pub(super) before_the_cut: u32,
}

impl Builder<'_> {
    /// What is bought and done whatever the plan: hours, gaskets and seals, bolts that are used once.
    pub(super) fn always(&mut self, list: Option<&PriceList>) -> Vec<Ways> {
        let mut all = self.hours(list);
        let sheet = self.sheet;
        let renewed = sheet.parts.iter().enumerate().filter(|(_, p)| p.renewed && p.sized_by.is_none());
        for (kind, part) in renewed.filter(|(_, part)| self.job.concerns(&part.scopes)) {
            let count = self.missing(kind, part, |_| true);
            all.extend((count > 0).then(|| self.buy(&part.key, None, count)));
        }
        for (group, item, count) in to_order::groups(self.job, sheet) {
            // A price list names the bolts of a head by their group; where a part has that name too, it is the part.
            let is_part = sheet.parts.iter().any(|part| same_name(&part.key, group));
            let priced = self.prices.part(group, None, count).filter(|_| !is_part);
            if let Some(found) = priced.filter(|found| found.price.money.is_some()) {
                let line = PlanLine::of(Deed::Buy { item, size: None, count }, found.price);
                all.push(self.one(PlanLine { obtainable: Some(found), ..line }));
            } else {
                all.push(self.buy(&item, None, count));
            }
        }
        all
    }

    fn hours(&mut self, list: Option<&PriceList>) -> Vec<Ways> {
        let came = |scope: &Option<String>| {
            scope.as_ref().is_none_or(|scope| self.job.concerns(std::slice::from_ref(scope)))
        };
        let labour = list.into_iter().flat_map(|list| list.labour.iter().map(move |labour| (list, labour)));
        let lines: Vec<PlanLine> = labour
            .filter(|(_, labour)| came(&labour.scope))
            .map(|(list, labour)| {
                let hundredths = labour.hundredths();
                let price = Price { money: Some(list.hour.for_hundredths(hundredths)), days: Some(0) };
                PlanLine::of(Deed::Hours { what: labour.what.clone(), hundredths }, price)
            })
            .collect();
        lines.into_iter().map(|line| self.one(line)).collect()
    }

    /// Pieces of a part at the positions wanted that are not in yet.
    fn missing(&self, kind: usize, part: &Part, wanted: impl Fn(usize) -> bool) -> u32 {
        let is_in = |position: usize| {
            let life = self.job.parts.get(&(kind, position));
            life.is_some_and(|life| life.fitted.is_some() || life.state.is_some())
        };
        let count = (0..part.positions.len().max(1)).filter(|at| wanted(*at) && !is_in(*at)).count();
        u32::try_from(count).unwrap_or(u32::MAX)
    }

    /// Parts in a size; that nothing helps where they cannot be had and everybody needs them.
    fn buy(&mut self, item: &str, size: Option<SizeWord>, count: u32) -> Ways {
        match self.buy_in(item, size, count) {
            Some((ways, _)) => ways,
            None => self.nothing(item.to_owned(), "it cannot be had".to_owned()),
        }
    }

    /// Parts in a size, and the days until they are here; `None` where they cannot be had.
    fn buy_in(&mut self, item: &str, size: Option<SizeWord>, count: u32) -> Option<(Ways, u32)> {
        let found = self.prices.part(item, size, count)?;
        let days = found.price.days.unwrap_or(0);
        let line = PlanLine::of(Deed::Buy { item: item.to_owned(), size, count }, found.price);
        Some((self.one(PlanLine { obtainable: Some(found), ..line }), days))
    }
}

impl Group {
    /// Parts that come in the size of the group: those that are always renewed, the kinds in `new`, what a person has
    /// decided to replace; all of them when the size changes. `None` where one of them cannot be had.
    pub(super) fn bought(
        self,
        builder: &mut Builder<'_>,
        size: SizeWord,
        new: &BTreeSet<usize>,
    ) -> Option<Bought> {
        let (sheet, job) = (builder.sheet, builder.job);
        let feature = sheet.features.get(self.feature)?;
        let resized = self.keys(feature).any(|key| builder.in_hand(key) != size);
        let by_size = sheet.parts.iter().enumerate().filter(|(_, part)| {
            let group = part.sized_by.as_deref();
            group.is_some_and(|group| same_name(group, &feature.group)) && job.concerns(&part.scopes)
        });
        let mut bought = Bought { ways: Vec::new(), before_the_cut: 0 };
        for (kind, part) in by_size {
            let all = part.renewed || new.contains(&kind);
            let count = if resized || new.contains(&kind) {
                u32::try_from(part.positions.len().max(1)).unwrap_or(u32::MAX)
            } else {
                builder.missing(kind, part, |position| {
                    let place = (kind, position);
                    all || builder.decided(place) == Some(true) || builder.is_worn_out(place)
                })
            };
            if count > 0 {
                let (ways, days) = builder.buy_in(&part.key, Some(size), count)?;
                bought.ways.push(ways);
                if !part.before.is_empty() {
                    bought.before_the_cut = bought.before_the_cut.max(days);
                }
            }
        }
        Some(bought)
    }
}
