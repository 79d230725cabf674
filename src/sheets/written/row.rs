//! Rows as they are written.

use serde::Deserialize;

/// One or two bounds.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct LimitsWritten {
    /// At least.
    #[serde(default)]
    pub min: Option<String>,
    /// At most.
    #[serde(default)]
    pub max: Option<String>,
}

/// A row.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct RowWritten {
    /// Its number.
    pub row: u32,
    /// What it judges.
    pub characteristic: String,
    /// The value aimed at.
    #[serde(default)]
    pub nominal: Option<String>,
    /// New limits.
    #[serde(default)]
    pub new: Option<LimitsWritten>,
    /// Service limits.
    #[serde(default)]
    pub service: Option<LimitsWritten>,
    /// The least service value as a percentage of the nominal one.
    #[serde(default)]
    pub service_percent: Option<u32>,
    /// After-work limits.
    #[serde(default)]
    pub after_work: Option<LimitsWritten>,
    /// `range` where out-of-round of three directions is their range; else it is the oval through them.
    #[serde(default)]
    pub of_three: Option<String>,
    /// The length in any of which the limits hold.
    #[serde(default)]
    pub any: Option<String>,
    /// What the new limits were computed from.
    #[serde(default)]
    pub stack: Vec<TermWritten>,
    /// The limits in the other unit, as printed.
    #[serde(default)]
    pub other_unit: ColumnsWritten,
    /// When it is asked.
    #[serde(default)]
    pub asked: Vec<AskedWritten>,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// A term of a stack: a feature's own limits, or limits of its own.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TermWritten {
    /// What is measured.
    pub what: String,
    /// The feature whose limits it has.
    #[serde(default)]
    pub feature: Option<String>,
    /// Its limits when new, where it is no feature.
    #[serde(default)]
    pub new: Option<LimitsWritten>,
    /// Its limits once cut or resized, where it is no feature.
    #[serde(default)]
    pub after_work: Option<LimitsWritten>,
    /// The stack is stated after work too, with this feature at its after-work limits.
    #[serde(default)]
    pub cut: bool,
    /// How often it counts; below zero where it is taken off.
    #[serde(default = "once")]
    pub times: i32,
}

const fn once() -> i32 {
    1
}

/// Limit columns in the other unit.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ColumnsWritten {
    /// The value aimed at.
    #[serde(default)]
    pub nominal: Option<String>,
    /// New.
    #[serde(default)]
    pub new: LimitsWritten,
    /// Service.
    #[serde(default)]
    pub service: LimitsWritten,
    /// After work.
    #[serde(default)]
    pub after_work: LimitsWritten,
}

/// When a row is asked.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AskedWritten {
    /// `as received`, `after work` or `at assembly`.
    pub condition: String,
    /// For these scopes; for all where empty.
    #[serde(default)]
    pub scopes: Vec<String>,
}
