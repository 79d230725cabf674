//! The shop's own statements, folded and kept in memory: they are few and every job needs them.

use crate::daemon::error::DaemonError;
use crate::facts::{Body, Fact, decode_kept};
use crate::ledger::{Ledger, Stale};
use crate::sheets::fold_name;
use crate::shop::{FactSet, Shop};
use std::sync::Arc;

/// The shop's statements and what they come to.
pub(super) struct ShopWide {
    set: FactSet,
    pub(super) shop: Shop,
}

impl ShopWide {
    /// From the ledger.
    pub(super) fn load(ledger: &Ledger, site: &str) -> Result<Self, DaemonError> {
        let mut set = FactSet::default();
        for stored in ledger.drops_of("")? {
            set.insert(read(&stored.bytes, site)?);
        }
        let shop = Shop::fold(&set);
        Ok(Self { set, shop })
    }

    /// With these statements added; the present one is left as it is until a commit has returned.
    pub(super) fn with(&self, new: &[Arc<Fact>]) -> Self {
        let mut set = self.set.clone();
        for fact in new {
            set.insert(Arc::clone(fact));
        }
        let shop = Shop::fold(&set);
        Self { set, shop }
    }
}

/// A drop of the ledger as a fact again. It was accepted once, so it decodes.
pub(super) fn read(bytes: &[u8], site: &str) -> Result<Arc<Fact>, DaemonError> {
    decode_kept(bytes, site)
        .map(Arc::new)
        .map_err(|_| DaemonError::Unreadable { drop: crate::facts::Digest::of(bytes).short() })
}

/// Which job rows a shop's new statements make stale.
pub(super) fn stale(new: &[Arc<Fact>]) -> Stale {
    let mut keys = Vec::new();
    for fact in new {
        match &fact.body {
            // A job says that it uses what its gauges are set from as well.
            Body::Gauge(gauge) => keys.push(gauge_key(&gauge.gauge)),
            // A study.
            Body::Measurements(set) => keys.extend(set.gauge.as_deref().map(gauge_key)),
            Body::Sheet(sheet) => keys.push(sheet_key(&sheet.key)),
            // Rules and people touch every job; what a withdrawal touches depends on what it names.
            Body::HouseRules(_)
            | Body::PriceList(_)
            | Body::Finding(_)
            | Body::Hardware(_)
            | Body::WorkOrder(_)
            | Body::Supply(_)
            | Body::Assembly(_)
            | Body::Account(_)
            | Body::People(_)
            | Body::Withdrawal(_)
            | Body::CheckIn(_)
            | Body::Part(_)
            | Body::Operation(_)
            | Body::Decision(_)
            | Body::SignOff(_) => return Stale::All,
        }
    }
    if keys.is_empty() { Stale::None } else { Stale::Using(keys) }
}

/// How the ledger's index names a gauge.
pub(super) fn gauge_key(mark: &str) -> String {
    format!("gauge:{}", fold_name(mark))
}

/// How the ledger's index names a sheet.
pub(super) fn sheet_key(key: &str) -> String {
    format!("sheet:{}", fold_name(key))
}
