//! `decision`: a person's word on a questioned reading, on the work, or on a value that is not proven.

use crate::facts::{Digits, SizeWord};
use serde::Deserialize;

/// A person's word; exactly one of the three.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub enum Decision {
    /// A questioned reading is right.
    ConfirmReading(Confirm),
    /// What is to be done.
    AgreedWork(AgreedWork),
    /// A value that is not proven is accepted.
    Accept(Accept),
}

/// A questioned reading is right as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Confirm {
    /// The drop it stands in.
    pub drop: String,
    /// The feature, as typed.
    pub feature: String,
    /// The position; every one of the drop where absent.
    #[serde(default)]
    pub position: Option<Digits>,
    /// The station; every one where absent.
    #[serde(default)]
    pub station: Option<String>,
    /// The direction; every one where absent.
    #[serde(default)]
    pub direction: Option<String>,
    /// Why it is right.
    pub why: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// What is to be done.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AgreedWork {
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// The pieces of work.
    pub work: Vec<Work>,
    /// Who agreed.
    pub agreed_by: String,
    /// Evidence code shown beside the plan.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// One piece of work.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Work {
    /// What is done.
    pub operation: String,
    /// The feature, as typed.
    pub feature: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
    /// Size class it is finished to; absent for work that leaves the size class.
    #[serde(rename = "finished", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub finished: Option<SizeWord>,
}

/// A value that is beyond by number but not proven is accepted as it is.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Accept {
    /// The feature or pair, as typed.
    pub feature: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
    /// The characteristic; all of them where absent.
    #[serde(default)]
    pub characteristic: Option<String>,
    /// Why.
    pub why: String,
    /// Who accepts.
    pub accepted_by: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}
