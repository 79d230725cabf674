//! `sign-off`: a step is signed.

use crate::facts::Day;
use crate::facts::words::words;
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
    /// What became of the old parts.
    #[serde(default)]
    pub old_parts: Option<OldParts>,
    /// How it was preserved for storage.
    #[serde(default)]
    pub preserved: String,
    /// When preservation is due again.
    #[serde(default)]
    pub due_again: Option<Day>,
}

words! {
    /// A step that can be signed.
    Step {
        /// It is apart, and everything is in its tray and bag.
        Teardown = "teardown",
        /// Everything was looked at and measured.
        Inspection = "inspection",
        /// The agreed work is done and measured again.
        Machining = "machining",
        /// The engine is together.
        Reassembly = "reassembly",
        /// The engine may leave.
        Engine = "engine",
        /// It was handed over.
        Delivered = "delivered",
        /// It is set aside, not authorised.
        Stored = "stored",
    }
}

words! {
    /// What became of the old parts.
    OldParts {
        /// The customer was asked.
        OfferedBack = "offered back",
        /// The shop keeps them.
        Kept = "kept",
        /// Thrown away, and the customer knows.
        Scrapped = "scrapped with leave",
    }
}
