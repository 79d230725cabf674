//! `withdrawal`: an earlier drop is void.

use serde::Deserialize;

/// An earlier drop is void.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Withdrawal {
    /// Its digest, full or short.
    pub drop: String,
    /// Why.
    pub why: String,
}
