//! `gauge`: an instrument of the shop, and what it is set from.

use serde::Deserialize;

/// A gauge.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct GaugeBody {
    /// Its mark.
    pub gauge: String,
    /// Kind of instrument, as the house rules name it.
    pub instrument: String,
    /// Mark of the gauge it is set from.
    #[serde(default)]
    pub set_by: Option<String>,
    /// A remark.
    #[serde(default)]
    pub note: String,
}
