//! `gauge`: an instrument of the shop, and what it is set from.

use crate::facts::{Day, Digits, Recorded, unit_of};
use crate::metrology::{Torque, Unit};
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
    /// The smallest step it is read to.
    #[serde(default)]
    pub resolution: Option<Resolution>,
    /// From and to which torque it is used, of a torque wrench.
    #[serde(default)]
    pub range: Option<WrenchRange>,
    /// A calibration.
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
    /// Of what the gauge reads.
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

/// What a gauge is read to.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Resolution {
    /// The step.
    pub step: Digits,
    /// Of what the gauge reads.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
}

impl ZeroCheck {
    /// The error: of lengths in millimetres, else in the unit beside it.
    #[must_use]
    pub fn found(&self) -> Option<(f64, Unit)> {
        amount(&self.error, &self.unit_symbol)
    }
}

impl Resolution {
    /// The step: lengths in millimetres, else in the unit beside it. `None` of no step.
    #[must_use]
    pub fn step(&self) -> Option<(f64, Unit)> {
        amount(&self.step, &self.unit_symbol).filter(|(step, _)| *step > 1e-9)
    }
}

/// The torques a wrench is used for.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct WrenchRange {
    /// The least.
    pub from: Digits,
    /// The most.
    pub to: Digits,
    /// `lbf ft`, `in lb`, `Nm`: as it stands on the wrench.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
}

impl WrenchRange {
    /// Its ends; `None` of what is no range.
    #[must_use]
    pub fn ends(&self) -> Option<(Torque, Torque)> {
        let end = |digits: &Digits| Torque::parse(&digits.0, &self.unit_symbol);
        end(&self.from).zip(end(&self.to)).filter(|(from, to)| from < to)
    }

    /// That a torque lies outside it, in words; `None` inside.
    #[must_use]
    pub fn outside(&self, torque: Torque) -> Option<String> {
        let (from, to) = self.ends()?;
        let (side, inside) = (if torque < from { "below" } else { "above" }, (from..=to).contains(&torque));
        (!inside).then(|| {
            format!(
                "the torque lies {side} its range of {} to {} {}",
                self.from.0, self.to.0, self.unit_symbol
            )
        })
    }
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
    /// Of what the gauge reads.
    #[serde(rename = "unit", default)]
    pub unit_symbol: String,
}

impl Calibration {
    /// The standard uncertainty it gives the gauge, half of the expanded: of lengths in millimetres, else in the unit beside
    /// it. `None` where it states none.
    #[must_use]
    pub fn standard(&self) -> Option<(f64, Unit)> {
        let (expanded, unit) = amount(self.expanded.as_ref()?, &self.unit_symbol)?;
        Some((expanded / 2.0, unit)).filter(|(u, _)| *u > 1e-9)
    }
}

fn amount(digits: &Digits, unit_symbol: &str) -> Option<(f64, Unit)> {
    let unit = unit_of(unit_symbol);
    digits.0.parse::<f64>().ok().map(|value| (value * unit.scale(), unit))
}
