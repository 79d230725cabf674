//! `assembly`: parts fitted, joints tightened, checks made.

use crate::facts::words::words;
use crate::facts::{Digits, PartState, SizeWord};
use serde::Deserialize;

/// What was done while the engine went together; at least one of the three.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Assembly {
    /// Unit of the sizes.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
    /// Parts fitted.
    #[serde(default)]
    pub fitted: Vec<Fitted>,
    /// Joints tightened.
    #[serde(default)]
    pub torque: Vec<Torque>,
    /// Checks made.
    #[serde(default)]
    pub checks: Vec<CheckMade>,
}

/// A part that was fitted.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Fitted {
    /// The part kind, as typed.
    pub part: String,
    /// Its positions, as typed; every one where left out.
    #[serde(default)]
    pub positions: Vec<Digits>,
    /// New or used.
    pub state: PartState,
    /// Size class.
    #[serde(rename = "size", default)]
    pub written: Option<String>,
    /// The same, exact. Filled in by decoding.
    #[serde(skip)]
    pub size: Option<SizeWord>,
    /// Which way round.
    #[serde(default)]
    pub way_round: String,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// A joint that was tightened.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Torque {
    /// A fastener group of the sheet, as typed.
    pub group: String,
    /// Bolt places of the sheet; all where left out.
    #[serde(default)]
    pub places: Vec<String>,
    /// Stages done, counted from 1; all where left out.
    #[serde(default)]
    pub stages: Vec<usize>,
    /// On threads and under heads, as it was.
    pub lubricant: String,
    /// Mark of the torque wrench.
    #[serde(default)]
    pub wrench: String,
    /// New or used.
    pub bolts: PartState,
    /// Final torque or angle as read.
    #[serde(rename = "final", default)]
    pub final_reading: String,
    /// The joint was let go before this: what was seen of its bolts then.
    #[serde(default)]
    pub slackened: String,
}

/// A check that was made.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CheckMade {
    /// A check of the sheet, as typed.
    pub check: String,
    /// Its answer.
    pub result: CheckResult,
    /// What was read.
    #[serde(default)]
    pub value: String,
    /// Why not.
    #[serde(default)]
    pub why: String,
}

words! {
    /// The answer to a check.
    CheckResult {
        /// Done and good.
        Yes = "yes",
        /// Not good.
        No = "no",
        /// This engine has no such thing.
        NotHere = "not on this engine",
    }
}
