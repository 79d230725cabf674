//! `gauge`: an instrument of the shop, and what it is set from.

use crate::facts::{Day, Digits, Recorded};
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
    /// A zero check.
    #[serde(default)]
    pub zero: Option<ZeroCheck>,
    /// It was calibrated.
    #[serde(default)]
    pub calibrated: Option<Calibration>,
    /// Found bad; every reading since then is in doubt.
    #[serde(rename = "bad-since", default)]
    pub bad_since_written: Option<String>,
    /// The same. Filled in by decoding.
    #[serde(skip)]
    pub bad_since: Option<Recorded>,
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// A zero check against a standard.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ZeroCheck {
    /// Error found, with its sign.
    pub error: Digits,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
}

/// How a calibration found the gauge before it set anything right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AsFound {
    /// Within what is asked of it: what it read before stands.
    Good,
    /// Not so: what it read since the calibration before is in doubt.
    Off,
}

/// A calibration.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Calibration {
    /// When it is due again.
    pub due: Day,
    /// Number of the certificate.
    #[serde(default)]
    pub certificate: String,
    /// How it was found; `None` where nobody said.
    #[serde(default)]
    pub as_found: Option<AsFound>,
    /// Expanded uncertainty, k = 2.
    #[serde(default)]
    pub expanded: Option<Digits>,
    /// `in` or `mm`.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
}
