//! `sign-off`: a step is signed.

use serde::Deserialize;

/// A step is signed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SignOff {
    /// What is signed.
    pub step: Step,
    /// Who signs.
    pub name: String,
    /// Evidence code shown beside what is signed.
    #[serde(default)]
    pub evidence: Option<String>,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// A step that can be signed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Everything was looked at and measured.
    Inspection,
    /// The agreed work is done and measured again.
    Machining,
    /// The engine is together.
    Reassembly,
    /// The engine may leave.
    Engine,
}

impl Step {
    /// As written in a drop.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Inspection => "inspection",
            Self::Machining => "machining",
            Self::Reassembly => "reassembly",
            Self::Engine => "engine",
        }
    }
}
