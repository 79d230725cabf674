//! What is bought: whatever the plan, and by the size of a group.

use crate::facts::SizeWord;
use crate::planning::at_size::{Group, Sized};
use crate::planning::line::{Deed, PlanLine};
use crate::planning::search::Ways;
use crate::planning::to_order;
use crate::planning::ways::Builder;
use crate::sheets::{Feature, Part, same_name};
use std::collections::BTreeSet;

/// Parts in the size of a group.
pub(super) struct Bought {
    pub(super) ways: Vec<Ways>,
    /// Days until those are here that must be in hand before anything is cut.
    pub(super) before_the_cut: u32,
}

impl Builder<'_> {
    /// What is bought and done whatever the plan: hours, gaskets and seals, bolts that are used once.
    pub(super) fn always(&mut self) -> Vec<Ways> {
        let mut all = self.hours();
        let sheet = self.sheet;
        let renewed = sheet.parts.iter().enumerate().filter(|(_, p)| p.renewed && p.sized_by.is_none());
        for (kind, part) in renewed.filter(|(_, part)| self.job.concerns(&part.scopes)) {
            let count = self.missing(kind, part, |_| true);
            all.extend((count > 0).then(|| self.buy(&part.key, None, count)));
        }
        for (group, item, count) in to_order::groups(self.job, sheet) {
            // A price list names the bolts of a head by their group; where a part has that name too, it is the part.
            let is_part = sheet.parts.iter().any(|part| same_name(&part.key, group));
            let of_group = self.prices.part(group, None, count);
            if of_group.is_none() && !is_part {
                all.push(self.nothing(item, "it cannot be had".to_owned()));
                continue;
            }
            let priced = of_group.filter(|found| !is_part && found.price.money.is_some());
            if let Some(found) = priced {
                let line = PlanLine::of(Deed::Buy { item, size: None, count }, found.price);
                all.push(self.one(PlanLine { obtainable: Some(found), ..line }));
            } else {
                all.push(self.buy(&item, None, count));
            }
        }
        all
    }

    /// What is always renewed and comes in the size of a group that nobody has measured: in some size it is bought.
    pub(super) fn of_any_size(&mut self, group: &str) -> Vec<Ways> {
        let mut all = Vec::new();
        for (kind, part) in self.sheet.parts.iter().enumerate() {
            let is_of_group = part.sized_by.as_deref().is_some_and(|sized_by| same_name(sized_by, group));
            if part.renewed && is_of_group && self.job.concerns(&part.scopes) {
                let count = self.missing(kind, part, |_| true);
                all.extend((count > 0).then(|| self.buy(&part.key, None, count)));
            }
        }
        all
    }

    /// The shop's hours for such an engine; once work has begun, what is left of them.
    fn hours(&mut self) -> Vec<Ways> {
        let mut hours = self.prices.labour();
        if self.job.is_begun() {
            let all: i64 = hours.iter().map(|(_, hundredths)| hundredths).sum();
            let left = all - self.job.books.hours_worked();
            hours = if 0 < left { vec![("hours that are left".to_owned(), left)] } else { Vec::new() };
        }
        let line = |(what, hundredths)| {
            let price = self.prices.hours(hundredths)?;
            Some(PlanLine::of(Deed::Hours { what, hundredths }, price))
        };
        let lines: Vec<PlanLine> = hours.into_iter().filter_map(line).collect();
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
        sized: &Sized,
        new: &BTreeSet<usize>,
    ) -> Option<Bought> {
        let feature = builder.sheet.features.get(self.feature)?;
        let mut bought = Bought { ways: Vec::new(), before_the_cut: 0 };
        for (kind, part) in by_size(builder, feature) {
            for (size, count) in self.counts(builder, feature, sized, (kind, part), new) {
                let (ways, days) = builder.buy_in(&part.key, Some(size), count)?;
                bought.ways.push(ways);
                if !part.before.is_empty() {
                    bought.before_the_cut = bought.before_the_cut.max(days);
                }
            }
        }
        Some(bought)
    }

    /// Nobody has said that the parts for it cannot be had.
    pub(super) fn can_be_had(self, builder: &Builder<'_>, feature: &Feature, sized: &Sized) -> bool {
        let new = BTreeSet::new();
        by_size(builder, feature).into_iter().all(|(kind, part)| {
            let counts = self.counts(builder, feature, sized, (kind, part), &new);
            counts
                .into_iter()
                .all(|(size, count)| builder.prices.part(&part.key, Some(size), count).is_some())
        })
    }

    /// How many of a part are bought in each size.
    fn counts(
        self,
        builder: &Builder<'_>,
        feature: &Feature,
        sized: &Sized,
        (kind, part): (usize, &Part),
        new: &BTreeSet<usize>,
    ) -> Vec<(SizeWord, u32)> {
        let resized = self.keys(feature).any(|key| builder.in_hand(key) != sized.at(key.position));
        // What has no position of the group goes with the common size.
        let size_of = |position: usize| {
            let name = part.positions.get(position);
            let own = name.and_then(|name| feature.position(name)).map(|position| sized.at(position));
            own.unwrap_or(sized.common)
        };
        let count = |size: SizeWord| {
            let own = |position: usize| size_of(position) == size;
            if resized || new.contains(&kind) {
                let all = (0..part.positions.len().max(1)).filter(|position| own(*position)).count();
                return u32::try_from(all).unwrap_or(u32::MAX);
            }
            builder.missing(kind, part, |position| {
                let place = (kind, position);
                let is_bought =
                    part.renewed || builder.decided(place) == Some(true) || builder.is_worn_out(place);
                own(position) && is_bought
            })
        };
        let sizes = sized.sizes(feature).into_iter().map(|size| (size, count(size)));
        sizes.filter(|(_, count)| *count > 0).collect()
    }
}

/// Parts of this engine that come in the size of a group.
fn by_size<'a>(builder: &Builder<'a>, feature: &Feature) -> Vec<(usize, &'a Part)> {
    let parts = builder.sheet.parts.iter().enumerate().filter(|(_, part)| {
        let group = part.sized_by.as_deref();
        group.is_some_and(|group| same_name(group, &feature.group)) && builder.job.concerns(&part.scopes)
    });
    parts.collect()
}
