//! `house-rules`: the shop's rules for judging, and its figures by kind of instrument.

use crate::facts::Digits;
use crate::facts::unit_of;
use crate::metrology::{Figure, Length, Unit};
use crate::sheets::{Shape, same_name};
use serde::Deserialize;

/// The shop's rules for judging.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct HouseRules {
    /// Revision, 1 and up.
    pub revision: u32,
    /// Probability that proves.
    pub probability: Digits,
    /// Figures by kind of instrument.
    pub instruments: Vec<Instrument>,
    /// Clean-up stock by shape.
    #[serde(default)]
    pub stock: Vec<Stock>,
}

impl HouseRules {
    /// The probability that proves; the schema keeps it between 0.5 and 1.
    #[must_use]
    pub fn level(&self) -> f64 {
        self.probability.0.parse().unwrap_or(0.95)
    }

    /// The figure for a kind of instrument, and the unit it is in.
    #[must_use]
    pub fn figure(&self, instrument: &str) -> Option<(Figure, Unit)> {
        let found = self.instruments.iter().find(|i| same_name(&i.instrument, instrument))?;
        Some((found.figure()?, found.unit()))
    }

    /// The least stock that machining takes off the diameter of such a surface.
    #[must_use]
    pub fn stock_for(&self, shape: Shape) -> Option<Length> {
        let word = match shape {
            Shape::Shaft => "shaft",
            Shape::Bore => "bore",
            Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => return None,
        };
        let stock = self.stock.iter().find(|s| s.shape == word)?;
        Length::parse(&stock.stock.0, unit_of(&stock.unit_symbol)).ok()
    }
}

/// The shop's figure for one kind of instrument.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Instrument {
    /// The kind.
    pub instrument: String,
    /// A unit of ours.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// Expanded uncertainty of one reading, k = 2; of an interval its half-width.
    pub expanded: Digits,
    /// Standard uncertainty shared with whatever it is set from.
    pub setting: Digits,
    /// Standard uncertainty of carrying the setting over.
    pub transfer: Digits,
    /// It gives an interval: a feeler, a gauging strip.
    #[serde(default)]
    pub interval: bool,
}

impl Instrument {
    /// In millimetres, or in its unit where it is no length; `None` when the parts leave nothing that repeats.
    #[must_use]
    pub fn figure(&self) -> Option<Figure> {
        let scale = self.unit().scale();
        let mm = |digits: &Digits| digits.0.parse::<f64>().ok().map(|value| value * scale);
        if self.interval {
            return Figure::from_interval(mm(&self.expanded)?);
        }
        Figure::from_expanded(mm(&self.expanded)?, mm(&self.setting)?, mm(&self.transfer)?)
    }

    /// The unit its figures are in.
    #[must_use]
    pub fn unit(&self) -> Unit {
        unit_of(&self.unit_symbol)
    }
}

/// Clean-up stock.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Stock {
    /// `bore` or `shaft`.
    pub shape: String,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// On the diameter.
    pub stock: Digits,
}
