//! The books of a job: estimates and their approvals, hours, money, and what is on order.

use crate::facts::{
    Account, Amount, Approval, Body, Decision, Digest, Estimate, Fact, Money, SizeWord, Supply, SupplyState,
};
use crate::sheets::{Sheet, fold_name, same_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::said::Said;
use crate::shop::set::FactSet;
use crate::shop::void;
use std::collections::BTreeMap;
use std::sync::Arc;

/// An estimate.
#[derive(Clone, Debug)]
pub struct EstimateNow {
    /// Who made it.
    pub said: Said,
    /// What it says.
    pub estimate: Estimate,
}

/// An approval or its refusal.
#[derive(Clone, Debug)]
pub struct ApprovalNow {
    /// Who recorded it.
    pub said: Said,
    /// What it says.
    pub approval: Approval,
    /// The estimate it is about; `None` when there was none.
    pub estimate: Option<Digest>,
    /// Up to how much.
    pub amount: Option<Money>,
}

/// Money of a job.
#[derive(Clone, Debug, Default)]
pub struct Books {
    /// Estimates in recorded order.
    pub estimates: Vec<EstimateNow>,
    /// Approvals and refusals in recorded order.
    pub approvals: Vec<ApprovalNow>,
    /// Hours in hundredths, and on what.
    pub hours: Vec<(Said, i64, String)>,
    /// Deposits.
    pub deposits: Vec<(Said, Amount)>,
    /// The final price, the latest said.
    pub price: Option<(Said, Amount)>,
    /// Money received.
    pub paid: Vec<(Said, Amount)>,
    /// Parts asked for, ordered, or here; of each item and size the latest recorded.
    pub supplies: Vec<SupplyNow>,
}

/// How one item stands.
#[derive(Clone, Debug)]
pub struct SupplyNow {
    /// Who says so.
    pub said: Said,
    /// What is said.
    pub supply: Supply,
    /// How many were last ordered, where somebody said so.
    pub ordered: Option<u32>,
    /// It comes in sizes by the sheet, so which one came is read off its stamp.
    pub by_size: bool,
}

impl SupplyNow {
    /// Fewer came than were ordered: how many were.
    #[must_use]
    pub fn is_short_of(&self) -> Option<u32> {
        self.ordered.filter(|ordered| self.is_here() && self.supply.count < *ordered)
    }

    /// It lies here and is what was asked for.
    #[must_use]
    pub fn is_here(&self) -> bool {
        let fits = self.supply.stamped.is_none() || self.supply.stamped == self.supply.size;
        self.supply.state == SupplyState::Received && fits
    }

    /// It lies here, and nobody has read whether it is the size that was asked for.
    #[must_use]
    pub fn is_unread(&self) -> bool {
        self.by_size && self.is_here() && self.supply.stamped.is_none()
    }

    /// How many came in parcels before this one. A parcel that was whole already, or whose stamp is only read now, is said
    /// again.
    fn came_before(&self, parcel: &Supply) -> u32 {
        let is_parcel = |supply: &Supply| supply.state == SupplyState::Received;
        let is_more = is_parcel(&self.supply)
            && is_parcel(parcel)
            && self.supply.stamped == parcel.stamped
            && self.ordered.is_none_or(|ordered| self.supply.count < ordered);
        if is_more { self.supply.count } else { 0 }
    }

    /// It can be had: available, ordered, or here.
    #[must_use]
    pub const fn is_obtainable(&self) -> bool {
        match self.supply.state {
            SupplyState::Available
            | SupplyState::Ordered
            | SupplyState::BackOrdered
            | SupplyState::Late
            | SupplyState::Received => true,
            SupplyState::NotAvailable | SupplyState::Wrong | SupplyState::Returned => false,
        }
    }
}

impl Books {
    /// From a job's standing facts in recorded order.
    pub(super) fn of(sheet: &Sheet, set: &FactSet, facts: &[&Arc<Fact>]) -> (Self, Vec<Held>) {
        let (mut books, mut held) = (Self::default(), Vec::new());
        let mut supplies: BTreeMap<(String, Option<SizeWord>), SupplyNow> = BTreeMap::new();
        for fact in facts {
            let said = Said::by(fact);
            match &fact.body {
                Body::Account(account) => books.entry(said, account),
                Body::Supply(supply) => {
                    let key = (fold_name(&supply.item), supply.size);
                    let ordered = match supply.state {
                        SupplyState::Ordered => Some(supply.count),
                        SupplyState::Available
                        | SupplyState::NotAvailable
                        | SupplyState::BackOrdered
                        | SupplyState::Late
                        | SupplyState::Received
                        | SupplyState::Wrong
                        | SupplyState::Returned => supplies.get(&key).and_then(|known| known.ordered),
                    };
                    let part = sheet.part(&supply.item).filter(|_| supply.size.is_some());
                    let by_size = part.is_some_and(|(_, part)| part.sized_by.is_some());
                    let mut supply = (**supply).clone();
                    // Another parcel of the same; of one whose stamp is read now, more is said.
                    supply.count += supplies.get(&key).map_or(0, |known| known.came_before(&supply));
                    supplies.insert(key, SupplyNow { said, supply, ordered, by_size });
                }
                Body::CheckIn(_)
                | Body::Measurements(_)
                | Body::Part(_)
                | Body::Finding(_)
                | Body::Hardware(_)
                | Body::Operation(_)
                | Body::WorkOrder(_)
                | Body::Assembly(_)
                | Body::Decision(_)
                | Body::Withdrawal(_)
                | Body::SignOff(_)
                | Body::Gauge(_)
                | Body::Sheet(_)
                | Body::HouseRules(_)
                | Body::People(_)
                | Body::PriceList(_) => {}
            }
        }
        books.supplies = supplies.into_values().collect();
        for fact in facts {
            if let Body::Decision(Decision::Approval(approval)) = &fact.body
                && let Err(why) = books.approval(set, fact, approval)
            {
                held.push(Held { fact: fact.id, kind: fact.body.kind(), part: String::new(), why });
            }
        }
        (books, held)
    }

    fn entry(&mut self, said: Said, account: &Account) {
        match account {
            Account::Estimate(estimate) => {
                self.estimates.push(EstimateNow { said, estimate: estimate.clone() })
            }
            Account::Hours(hours) => self.hours.push((said, hours.hundredths(), hours.what.clone())),
            Account::Deposit(amount) => self.deposits.push((said, amount.clone())),
            Account::Price(amount) => self.price = Some((said, amount.clone())),
            Account::Paid(amount) => self.paid.push((said, amount.clone())),
        }
    }

    /// An approval is of the estimate it names, else of the latest recorded before it.
    fn approval(&mut self, set: &FactSet, fact: &Fact, approval: &Approval) -> Result<(), HeldWhy> {
        let said = Said::by(fact);
        let about = match &approval.estimate {
            Some(written) => {
                let target = void::resolve(set, written)?.id;
                let found = self.estimates.iter().find(|estimate| estimate.said.fact == target);
                Some(found.ok_or_else(|| HeldWhy::NamesAnotherKind(target.short()))?)
            }
            None => self.estimates.iter().rfind(|estimate| estimate.said.at <= said.at),
        };
        let amount = approval.amount.or_else(|| about.map(|estimate| estimate.estimate.not_to_exceed));
        let estimate = about.map(|estimate| estimate.said.fact);
        self.approvals.push(ApprovalNow { said, approval: approval.clone(), estimate, amount });
        Ok(())
    }

    /// Everything received, deposits too.
    #[must_use]
    pub fn received(&self) -> Money {
        self.deposits.iter().chain(&self.paid).map(|(_, amount)| amount.amount).sum()
    }

    /// Hours worked, in hundredths.
    #[must_use]
    pub fn hours_worked(&self) -> i64 {
        self.hours.iter().map(|(_, hundredths, _)| hundredths).sum()
    }

    /// The estimate that holds for the job: of several options the one that was approved since the last was made, else
    /// the latest.
    #[must_use]
    pub fn estimate(&self) -> Option<&EstimateNow> {
        let latest = self.estimates.iter().rfind(|now| !now.estimate.addition)?;
        let since = |now: &&ApprovalNow| {
            now.approval.granted && now.said.order() >= latest.said.order() && !self.is_of_addition(now)
        };
        let chosen = self.approvals.iter().rfind(since).and_then(|now| self.answered(now));
        Some(chosen.filter(|chosen| self.is_latest_of_its_option(chosen)).unwrap_or(latest))
    }

    /// What was estimated beside it, the latest of each option.
    pub fn additions(&self) -> impl Iterator<Item = &EstimateNow> {
        let added = self.estimates.iter().filter(|now| now.estimate.addition);
        added.filter(|now| self.is_latest_of_its_option(now))
    }

    /// The additions that were approved, with the word that did.
    pub fn granted_additions(&self) -> impl Iterator<Item = (&EstimateNow, &ApprovalNow)> {
        let answered = self.additions().filter_map(|now| Some((now, self.answer_to(now)?)));
        answered.filter(|(_, answer)| answer.approval.granted)
    }

    /// The last word on an estimate.
    #[must_use]
    pub fn answer_to(&self, now: &EstimateNow) -> Option<&ApprovalNow> {
        self.approvals.iter().rfind(|answer| answer.estimate == Some(now.said.fact))
    }

    fn is_of_addition(&self, answer: &ApprovalNow) -> bool {
        self.answered(answer).is_some_and(|now| now.estimate.addition)
    }

    /// What was approved or declined: `up to 3400.00`, amounts as `show` writes them; empty where no amount is known.
    #[must_use]
    pub fn up_to(answer: &ApprovalNow, show: impl Fn(Money) -> String) -> String {
        let granted = answer.amount.filter(|_| answer.approval.granted);
        granted.map_or_else(String::new, |amount| format!("up to {}", show(amount)))
    }

    /// The estimate it answers, in words: drop, option, sum, at most, until when; empty where there was none.
    #[must_use]
    pub fn answered_words(&self, answer: &ApprovalNow, show: impl Fn(Money) -> String) -> String {
        self.answered(answer).map_or_else(String::new, |now| {
            let estimate = &now.estimate;
            let option = if estimate.option.is_empty() {
                String::new()
            } else {
                format!(", option {}", estimate.option)
            };
            format!(
                "estimate {}{option}: comes to {}, at most {}, holds until {}",
                now.said.fact.short(),
                show(estimate.sum()),
                show(estimate.not_to_exceed),
                estimate.expires
            )
        })
    }

    /// The estimate an approval or refusal is about.
    #[must_use]
    pub fn answered(&self, answer: &ApprovalNow) -> Option<&EstimateNow> {
        self.estimates.iter().find(|estimate| Some(estimate.said.fact) == answer.estimate)
    }

    fn is_latest_of_its_option(&self, now: &EstimateNow) -> bool {
        let same = |other: &&EstimateNow| same_name(&other.estimate.option, &now.estimate.option);
        self.estimates.iter().rfind(same).is_some_and(|latest| latest.said.fact == now.said.fact)
    }

    /// The last word on money: who gave leave, and up to how much with all additions where that is known; `None` while it is a refusal.
    /// A refusal of an option that was not chosen is none.
    #[must_use]
    pub fn last_approval(&self) -> Option<(&Said, Option<Money>)> {
        let holds = self.estimate().map(|now| now.said.fact);
        let own = self.approvals.iter().filter(|now| !self.is_of_addition(now));
        let mut words = own.filter(|now| now.approval.granted || now.estimate == holds);
        let last = words.next_back().filter(|now| now.approval.granted)?;
        let added = || self.granted_additions().filter_map(|(_, answer)| answer.amount).sum();
        Some((&last.said, last.amount.map(|amount| amount + added())))
    }

    /// What was last said of an item, however it is written, at a size.
    #[must_use]
    pub fn supply(&self, item: &str, size: Option<SizeWord>) -> Option<&SupplyNow> {
        let wanted = fold_name(item);
        self.supplies.iter().find(|now| fold_name(&now.supply.item) == wanted && now.supply.size == size)
    }
}
