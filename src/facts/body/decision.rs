//! `decision`: a person's word: on readings, work, parts, money, and blockers set aside.

use crate::facts::words::words;
use crate::facts::{Digits, DispositionWord, Money, SizeWord};
use serde::Deserialize;

/// A person's word; exactly one of these.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub enum Decision {
    /// A questioned reading is right.
    ConfirmReading(Confirm),
    /// What is to be done.
    AgreedWork(AgreedWork),
    /// A value that is not proven is accepted.
    Accept(Accept),
    /// What becomes of a part with a finding.
    Disposition(Disposition),
    /// Two shells of one journal may differ by a step.
    HalfSteps(HalfSteps),
    /// Some places of a group have a size of their own.
    Apart(Apart),
    /// Leave to take the engine apart, or its refusal.
    Authority(Authority),
    /// Money approved or declined.
    Approval(Approval),
    /// A blocker is set aside.
    Waiver(Waiver),
    /// The job moves to another revision.
    Revision(RevisionChange),
}

/// What becomes of a part with a finding.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Disposition {
    /// The part kind, as typed.
    pub part: String,
    /// Its positions, as typed; every one where left out.
    #[serde(default)]
    pub positions: Vec<Digits>,
    /// What is done with it.
    pub what: DispositionWord,
    /// Why.
    pub why: String,
    /// Who decided.
    pub by: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// Two shells of one journal may differ by a step.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct HalfSteps {
    /// The pair, as typed.
    pub pair: String,
    /// Positions, as typed; `all` for every one.
    pub positions: Vec<Digits>,
    /// Why.
    pub why: String,
    /// Who decided.
    pub by: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// Some places of a group that is machined alike have a size of their own.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Apart {
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// The feature, as typed.
    pub feature: String,
    /// Positions, as typed.
    pub positions: Vec<Digits>,
    /// Their size class.
    #[serde(rename = "size")]
    pub written: String,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub size: Option<SizeWord>,
    /// Why.
    pub why: String,
    /// Who decided.
    pub by: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// Leave to take the engine apart and look, or its refusal.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Authority {
    /// Leave is given.
    pub granted: bool,
    /// Who gave it.
    pub by: String,
    /// How it was said.
    pub how: SaidHow,
    /// Price of teardown and inspection.
    #[serde(default)]
    pub price: Option<Money>,
    /// What happens to the engine if the work is declined.
    #[serde(default)]
    pub if_declined: String,
}

/// Money approved or declined.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Approval {
    /// It is approved.
    pub granted: bool,
    /// Who said so.
    pub by: String,
    /// How it was said.
    pub how: SaidHow,
    /// Up to how much; the estimate's most where left out.
    #[serde(default)]
    pub amount: Option<Money>,
    /// Digest of the estimate; the latest before it where left out.
    #[serde(default)]
    pub estimate: Option<String>,
    /// Evidence code shown beside the estimate.
    #[serde(default)]
    pub evidence: Option<String>,
    /// Why it is declined.
    #[serde(default)]
    pub why: String,
}

/// A blocker is set aside by a named person.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Waiver {
    /// The gate, as printed.
    pub gate: String,
    /// The rule, as printed.
    pub rule: String,
    /// What it is about, as printed; empty for the whole engine.
    pub about: String,
    /// Why.
    pub why: String,
    /// Who sets it aside.
    pub by: String,
    /// Evidence code shown beside it.
    #[serde(default)]
    pub evidence: Option<String>,
}

/// The job moves to another revision of its sheet or house rules; at least one of both.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RevisionChange {
    /// Revision of the sheet.
    #[serde(default)]
    pub sheet: Option<u32>,
    /// Revision of the house rules.
    #[serde(default)]
    pub house_rules: Option<u32>,
    /// Why.
    pub why: String,
    /// Who decided.
    pub by: String,
}

words! {
    /// How something was said.
    SaidHow {
        /// On paper.
        Written = "written",
        /// By mail.
        Mail = "mail",
        /// By telephone.
        Telephone = "telephone",
        /// Face to face.
        InPerson = "in person",
    }
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
    /// Which option of the estimate.
    #[serde(default)]
    pub option: String,
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
