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

    /// The figure for a kind of instrument.
    #[must_use]
    pub fn figure(&self, instrument: &str) -> Option<Figure> {
        self.instruments.iter().find(|i| same_name(&i.instrument, instrument))?.figure()
    }

    /// The least stock that machining takes off the diameter of such a surface.
    #[must_use]
    pub fn stock_for(&self, shape: Shape) -> Option<Length> {
        let word = match shape {
            Shape::Shaft => "shaft",
            Shape::Bore => "bore",
            Shape::Wall => return None,
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
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// Expanded uncertainty of one reading, k = 2.
    pub expanded: Digits,
    /// Standard uncertainty shared with whatever it is set from.
    pub setting: Digits,
    /// Standard uncertainty of carrying the setting over.
    pub transfer: Digits,
}

impl Instrument {
    /// In millimetres; `None` when the parts leave nothing that repeats.
    #[must_use]
    pub fn figure(&self) -> Option<Figure> {
        let scale = match unit_of(&self.unit_symbol) {
            Unit::Inch => 25.4,
            Unit::Millimetre => 1.0,
        };
        let mm = |digits: &Digits| digits.0.parse::<f64>().ok().map(|value| value * scale);
        Figure::from_expanded(mm(&self.expanded)?, mm(&self.setting)?, mm(&self.transfer)?)
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
