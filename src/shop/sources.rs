//! What a job was folded from, kept so that it can be folded again as somebody saw it: with less.
//!
//! A signature rests on the facts up to its gate, a statement without a code on those recorded up to its time. What
//! they came to is asked of the same fold, over fewer facts.

use crate::facts::{Body, Fact};
use crate::shop::decisions::{Agreed, Decisions};
use crate::shop::job::Job;
use crate::shop::set::FactSet;
use crate::shop::shop_wide::Shop;
use crate::shop::surfaces::SurfaceKey;
use crate::shop::void;
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The statements of a job and the shop they were understood in.
#[derive(Clone, Debug, Default)]
pub(super) struct Sources {
    set: FactSet,
    shop: Shop,
    /// Those that are not void, in recorded order.
    standing: Vec<Arc<Fact>>,
}

impl Sources {
    pub(super) fn of(set: &FactSet, shop: &Shop, standing: &[&Arc<Fact>]) -> Self {
        let standing = standing.iter().map(|fact| Arc::clone(fact)).collect();
        Self { set: set.clone(), shop: shop.clone(), standing }
    }
}

impl Job {
    /// Its statements that are not void, in recorded order.
    #[must_use]
    pub fn statements(&self) -> &[Arc<Fact>] {
        &self.sources.standing
    }

    /// The shop it was folded in.
    #[must_use]
    pub fn shop(&self) -> &Shop {
        &self.sources.shop
    }

    /// The job without its signatures, for rules that ask what else it comes to. `last` is when the last statement was
    /// recorded that counts then.
    #[must_use]
    pub fn unsigned(&self, last: Option<Timestamp>) -> Self {
        let mut job = self.clone();
        job.signed.clear();
        job.last_recorded = last;
        job
    }

    /// Agreed work by surface as it was recorded up to a time.
    #[must_use]
    pub fn agreed_until(&self, until: Timestamp) -> BTreeMap<SurfaceKey, Agreed> {
        let Some(sheet) = self.sheet.as_deref() else { return BTreeMap::new() };
        let in_time = self.statements().iter().take_while(|fact| fact.head.recorded.instant() <= until);
        Decisions::of(sheet, &self.sources.set, &in_time.collect::<Vec<_>>()).agreed
    }

    /// The statement that a person's digest names, full or short.
    #[must_use]
    pub fn named(&self, written: &str) -> Option<&Arc<Fact>> {
        void::resolve(&self.sources.set, written).ok()
    }

    /// The job as it would be with only those of its statements. Withdrawals always stay: what they void is void.
    #[must_use]
    pub fn only(&self, keep: impl Fn(&Fact) -> bool) -> Self {
        self.only_in(&self.sources.shop, keep)
    }

    /// The same in a shop that knows less.
    #[must_use]
    pub fn only_in(&self, shop: &Shop, keep: impl Fn(&Fact) -> bool) -> Self {
        let mut fewer = FactSet::default();
        for fact in self.sources.set.in_order() {
            if matches!(fact.body, Body::Withdrawal(_)) || keep(fact) {
                fewer.insert(Arc::clone(fact));
            }
        }
        Self::fold(&self.key, &fewer, shop)
    }

    /// The shop as it had heard of the job's gauges by then; `None` where nothing happened to them since.
    #[must_use]
    pub fn shop_as_heard(&self, until: Timestamp) -> Option<Shop> {
        self.sources.shop.as_heard(&self.gauges, until)
    }
}
