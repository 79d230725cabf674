//! What work and parts cost and how long they take: from the shop's price list, and what suppliers said for this job.

use crate::facts::{Money, PriceList, PricedPart, SizeWord, SupplyState};
use crate::planning::search::Cost;
use crate::sheets::{Sheet, fold_name, same_name};
use crate::shop::Job;

/// A price and a time, each where somebody said so.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Price {
    /// In the shop's currency.
    pub money: Option<Money>,
    /// Days.
    pub days: Option<u32>,
}

impl Price {
    /// As a cost of one thing.
    #[must_use]
    pub fn cost(self) -> Cost {
        Cost {
            unpriced: u32::from(self.money.is_none()),
            money: self.money.unwrap_or(Money::NONE),
            undated: u32::from(self.days.is_none()),
            days: self.days.unwrap_or(0),
            ..Cost::NOTHING
        }
    }
}

/// What is known of a part that must be bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Obtainable {
    /// What all pieces cost, and when they are here.
    pub price: Price,
    /// What a supplier said of it for this job; `None` when nobody has asked.
    pub state: Option<SupplyState>,
    /// From whom; may be empty.
    pub supplier: String,
    /// So many fewer were spoken of than are needed.
    pub short: u32,
}

/// Prices for one job.
pub(super) struct Prices<'a> {
    job: &'a Job,
    sheet: &'a Sheet,
    list: Option<&'a PriceList>,
}

impl<'a> Prices<'a> {
    pub(super) fn of(job: &'a Job, sheet: &'a Sheet, list: Option<&'a PriceList>) -> Self {
        Self { job, sheet, list }
    }

    /// Work on one place of a feature: its own price, else that of the operation on any feature.
    pub(super) fn work(&self, operation: &str, feature: &str) -> Price {
        let Some(found) = self.priced(operation, feature) else { return Price::default() };
        Price { money: Some(found.price), days: found.days }
    }

    /// Work on a whole part, with what it costs once.
    pub(super) fn whole(&self, operation: &str, part: &str) -> Price {
        let price = self.work(operation, part);
        let once = self.once(operation, part).unwrap_or(Money::NONE);
        Price { money: price.money.map(|money| money + once), ..price }
    }

    /// Hours at the shop's price of one; `None` without a price list.
    pub(super) fn hours(&self, hundredths: i64) -> Option<Price> {
        let hour = self.list?.hour;
        Some(Price { money: Some(hour.for_hundredths(hundredths)), days: Some(0) })
    }

    /// What the list has hours for in this engine, in hundredths.
    pub(super) fn labour(&self) -> Vec<(String, i64)> {
        let came = |scope: &Option<String>| {
            scope.as_ref().is_none_or(|scope| self.job.concerns(std::slice::from_ref(scope)))
        };
        let own = self.list.into_iter().flat_map(|list| &list.labour).filter(|labour| came(&labour.scope));
        own.map(|labour| (labour.what.clone(), labour.hundredths())).collect()
    }

    /// What the shop can have done to a whole part that is cracked or broken: the operations priced for it by name that put
    /// metal on or mend.
    pub(super) fn mending(&self, part: &str) -> Vec<String> {
        let of_part = |work: &&crate::facts::PricedWork| {
            let on_it = work.feature.as_ref().is_some_and(|feature| same_name(feature, part));
            on_it && is_mending(&work.operation)
        };
        let list = self.list.into_iter().flat_map(|list| &list.operations);
        list.filter(of_part).map(|work| work.operation.clone()).collect()
    }

    /// What such work costs once, however many places; nothing where the list does not say.
    pub(super) fn once(&self, operation: &str, feature: &str) -> Option<Money> {
        self.priced(operation, feature)?.once
    }

    fn priced(&self, operation: &str, feature: &str) -> Option<&'a crate::facts::PricedWork> {
        let list = self.list?;
        let of = |wanted: Option<&str>| {
            list.operations.iter().find(|work| {
                same_name(&work.operation, operation)
                    && match (&work.feature, wanted) {
                        (Some(on), Some(wanted)) => same_name(on, wanted),
                        (None, None) => true,
                        (Some(_), None) | (None, Some(_)) => false,
                    }
            })
        };
        of(Some(feature)).or_else(|| of(None))
    }

    /// So many pieces of a part in a size; `None` where it was said that it cannot be had, or what came
    /// was wrong and nobody has asked again.
    pub(super) fn part(&self, part: &str, size: Option<SizeWord>, count: u32) -> Option<Obtainable> {
        let said = self.job.books.supply(part, size).or_else(|| {
            let standard = size == Some(SizeWord::Standard);
            self.job.books.supply(part, None).filter(|_| standard)
        });
        let listed = self.listed(part, size);
        let of_list = Price {
            money: listed.map(|found| times(found.price, count)),
            days: listed.and_then(|found| found.days),
        };
        let Some(now) = said else {
            let supplier = listed.map_or_else(String::new, |found| found.supplier.clone());
            return Some(Obtainable { price: of_list, state: None, supplier, short: 0 });
        };
        if !now.is_obtainable() {
            return None;
        }
        let said = &now.supply;
        let short = count.saturating_sub(said.count);
        let days = match said.state {
            // Of the missing ones nobody knows when they come.
            SupplyState::Available | SupplyState::Received if 0 < short => None,
            SupplyState::Received if now.is_here() && count <= said.count => Some(0),
            // A day is promised; how far it is, nobody here knows without a clock.
            SupplyState::Ordered | SupplyState::BackOrdered | SupplyState::Late if said.due.is_some() => None,
            SupplyState::NotAvailable
            | SupplyState::Received
            | SupplyState::Available
            | SupplyState::Ordered
            | SupplyState::BackOrdered
            | SupplyState::Late
            | SupplyState::Wrong
            | SupplyState::Returned => of_list.days,
        };
        // What was offered is for as many as were asked for; other counts come from the list.
        let offered = said.price.filter(|_| said.count == count);
        // What lies here is paid for: once work has begun only what is still to come is counted.
        let is_paid =
            self.job.is_begun() && said.state == SupplyState::Received && now.is_here() && short == 0;
        let money = if is_paid { Some(Money::NONE) } else { offered.or(of_list.money) };
        let price = Price { money, days };
        Some(Obtainable { price, state: Some(said.state), supplier: said.supplier.clone(), short })
    }

    fn listed(&self, part: &str, size: Option<SizeWord>) -> Option<&'a PricedPart> {
        let wanted = fold_name(part);
        let of_name = || {
            let list = self.list.into_iter().flat_map(|list| &list.parts);
            list.filter(|priced| fold_name(&priced.part) == wanted)
        };
        let sized = size.and_then(|size| {
            of_name().find(|priced| {
                let written = priced.size.as_deref();
                written.and_then(|written| SizeWord::parse(written, self.sheet.unit)) == Some(size)
            })
        });
        sized.or_else(|| of_name().find(|priced| priced.size.is_none()))
    }
}

/// Such work makes a cracked or broken part sound again.
pub(super) fn is_mending(operation: &str) -> bool {
    let word = fold_name(operation);
    ["weld", "stitch", "repair", "mend"].iter().any(|mends| word.contains(mends))
}

/// So many times a price.
fn times(price: Money, count: u32) -> Money {
    price.for_hundredths(i64::from(count) * 100)
}
