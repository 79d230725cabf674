//! What an engine has cost so far, against what was estimated.

use crate::facts::{Money, PriceList, SupplyState};
use crate::sheets::fold_name;
use crate::shop::{EstimateNow, Job};

/// Money spent on an engine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spent {
    /// Hours worked, in hundredths.
    pub hours: i64,
    /// Hours that the estimate's lines for labour come to at the shop's hour, in hundredths; `None` where it has none.
    pub hours_estimated: Option<i64>,
    /// The same at the shop's hour; `None` without a price list.
    pub labour: Option<Money>,
    /// Prices of the work orders.
    pub outside: Money,
    /// Prices of parts ordered or here.
    pub parts: Money,
    /// What the estimate that was approved last comes to, else the latest estimate, with the additions that were approved.
    pub estimated: Option<Money>,
}

/// Counts it.
#[must_use]
pub fn spent(job: &Job, prices: Option<&PriceList>) -> Spent {
    let books = &job.books;
    let hours = books.hours_worked();
    let bought = books.supplies.iter().filter(|now| match now.supply.state {
        SupplyState::Ordered | SupplyState::BackOrdered | SupplyState::Late | SupplyState::Received => true,
        SupplyState::Available | SupplyState::NotAvailable | SupplyState::Wrong | SupplyState::Returned => {
            false
        }
    });
    // An estimate says what the whole job costs; one that waits for its answer is no leave to spend yet.
    let of_whole = |now: &&EstimateNow| !now.estimate.addition;
    let granted = books.approvals.iter().filter(|now| now.approval.granted);
    let granted = granted.filter_map(|now| books.answered(now)).rfind(of_whole);
    let estimated = granted.or_else(|| books.estimate());
    let labour = |now: &EstimateNow| {
        let lines = now.estimate.lines.iter().filter(|line| fold_name(&line.what).contains("labour"));
        let amount: Money = lines.map(|line| line.amount).sum();
        amount.hundredths_at(prices?.hour).filter(|hours| *hours > 0)
    };
    let hours_estimated = estimated.and_then(labour);
    let added: Money = books.granted_additions().map(|(now, _)| now.estimate.sum()).sum();
    let estimated = estimated.map(|now| now.estimate.sum() + added);
    Spent {
        hours,
        hours_estimated,
        labour: prices.map(|prices| prices.hour.for_hundredths(hours)),
        outside: job.orders.values().filter_map(|order| order.out.price).sum(),
        parts: bought.filter_map(|now| now.supply.price).sum(),
        estimated,
    }
}

impl Spent {
    /// All of it; of the labour only what has a price.
    #[must_use]
    pub fn sum(&self) -> Money {
        self.labour.unwrap_or_default() + self.outside + self.parts
    }

    /// More was spent than estimated.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.estimated.is_some_and(|estimated| self.sum() > estimated)
    }

    /// In a sentence, the sums as `show` writes them; `None` when nothing was spent.
    #[must_use]
    pub fn words(&self, show: impl Fn(Money) -> String) -> Option<String> {
        if self.hours == 0 && self.sum().is_zero() {
            return None;
        }
        let shown = |hours: i64| format!("{}.{:02}", hours / 100, hours % 100);
        let of = self.hours_estimated.map_or_else(String::new, |all| format!(" of {} estimated", shown(all)));
        let hours = format!("{} hours{of}", shown(self.hours));
        let labour = self.labour.map_or_else(
            || " (no price list says what an hour costs)".to_owned(),
            |labour| format!(" = {labour}"),
        );
        let against = self.estimated.map_or_else(
            || "; nothing was estimated".to_owned(),
            |estimated| {
                let over = if self.is_over() { "more than the estimate of" } else { "of an estimate of" };
                format!("; {} {over} {}", show(self.sum()), show(estimated))
            },
        );
        Some(format!(
            "Spent so far: {hours}{labour}, outside work {}, parts {}{against}",
            self.outside, self.parts
        ))
    }
}
