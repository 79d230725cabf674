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
    /// Two shells of one journal may differ by a step where a named person says so for the engine.
    #[serde(default)]
    pub half_steps: bool,
    /// What temperatures leave open.
    #[serde(default)]
    pub temperatures: TemperatureRules,
    /// Hours in a bath after which a part is asked about.
    #[serde(default)]
    pub bath_hours: Option<u32>,
    /// Hours after which a part is asked about of which nobody says where it lies.
    #[serde(default)]
    pub unplaced_hours: Option<u32>,
    /// Words for the customer's page, the same for every engine.
    #[serde(default)]
    pub customer: ToCustomers,
}

/// What temperatures leave open, degrees Celsius; nothing where it is not stated.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct TemperatureRules {
    /// Where a paper gives no temperature, part and gauge lay together at 20 give or take so much, a rectangle.
    pub unsaid: Option<Digits>,
    /// A temperature that was taken may be off by so much, 95 percent.
    pub thermometer: Option<Digits>,
}

impl TemperatureRules {
    /// Standard uncertainty of a temperature that nobody took.
    #[must_use]
    pub fn of_unsaid(&self) -> f64 {
        degrees(self.unsaid.as_ref()) / 3_f64.sqrt()
    }

    /// Standard uncertainty of one that was taken.
    #[must_use]
    pub fn of_taken(&self) -> f64 {
        degrees(self.thermometer.as_ref()) / 2.0
    }
}

fn degrees(digits: Option<&Digits>) -> f64 {
    digits.and_then(|digits| digits.0.parse().ok()).unwrap_or(0.0)
}

/// What the shop says to every customer.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case", default)]
pub struct ToCustomers {
    /// Where a customer asks.
    pub ask: String,
    /// How every engine is broken in, one instruction an entry.
    pub break_in: Vec<String>,
    /// What is guaranteed, one sentence an entry.
    pub warranty: Vec<String>,
}

/// A bath works overnight; what is still in it on the second day was forgotten. What was taken off today is put away today.
/// (Common practice.)
const ASK_AFTER_HOURS: u32 = 24;

impl HouseRules {
    /// Hours in a bath after which a part is asked about.
    #[must_use]
    pub fn hours_in_a_bath(rules: Option<&Self>) -> u32 {
        rules.and_then(|rules| rules.bath_hours).unwrap_or(ASK_AFTER_HOURS)
    }

    /// Hours after which a part is asked about of which nobody says where it lies.
    #[must_use]
    pub fn hours_unplaced(rules: Option<&Self>) -> u32 {
        rules.and_then(|rules| rules.unplaced_hours).unwrap_or(ASK_AFTER_HOURS)
    }

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

    /// Whose figure that is, as the rules have it; empty where they do not say.
    #[must_use]
    pub fn source(&self, instrument: &str) -> &str {
        self.of_kind(instrument).map_or("", |kind| &kind.source)
    }

    /// Is there a figure for this kind of instrument?
    #[must_use]
    pub fn knows(&self, instrument: &str) -> bool {
        self.of_kind(instrument).is_some()
    }

    /// Standard uncertainty of one blade of this kind of instrument, millimetres, where the rules say it.
    #[must_use]
    pub fn of_a_blade(&self, instrument: &str) -> Option<f64> {
        self.of_kind(instrument)?.of_a_blade()
    }

    fn of_kind(&self, instrument: &str) -> Option<&Instrument> {
        self.instruments.iter().find(|i| same_name(&i.instrument, instrument))
    }

    /// The zero error a gauge of this kind may have: as the rules say, else twice the setting part of its figure, which
    /// is what the figure holds of it (95 percent). `None` where the figure has no such part.
    #[must_use]
    pub fn zero_allowed(&self, instrument: &str) -> Option<ZeroAllowed> {
        let kind = self.of_kind(instrument)?;
        let written = kind.zero_allowed.as_ref().map(|digits| (digits, 1.0));
        let (digits, times) = written.unwrap_or((&kind.setting, 2.0));
        let allowed = digits.0.parse::<f64>().ok()? * times;
        let unit = kind.unit();
        let words = format!("{} {}", trimmed(allowed), unit.symbol());
        (allowed > 0.0).then(|| ZeroAllowed { most: allowed * unit.scale(), unit, words })
    }

    /// Shapes a kind of instrument is never used for: as the rules say, else a calliper is for neither shaft nor bore
    /// (trade notes F3).
    #[must_use]
    pub fn never_for(rules: Option<&Self>, instrument: &str) -> Vec<Shape> {
        let said = rules.and_then(|rules| rules.of_kind(instrument)?.never_for.as_ref());
        let is_calliper = || {
            let name = instrument.to_lowercase();
            name.contains("calliper") || name.contains("caliper")
        };
        match said {
            Some(shapes) => shapes.iter().map(|shape| shape.shape()).collect(),
            None if is_calliper() => vec![Shape::Shaft, Shape::Bore],
            None => Vec::new(),
        }
    }

    /// The least stock that machining takes off the diameter of such a surface.
    #[must_use]
    pub fn stock_for(&self, shape: Shape) -> Option<Length> {
        let word = match shape {
            Shape::Shaft => "shaft",
            Shape::Bore => "bore",
            Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => return None,
        };
        self.stock_named(word)
    }

    /// What comes off a face beside what it is out of flat.
    #[must_use]
    pub fn stock_of_faces(&self) -> Option<Length> {
        self.stock_named("face")
    }

    fn stock_named(&self, word: &str) -> Option<Length> {
        let stock = self.stock.iter().find(|s| s.shape == word)?;
        Length::parse(&stock.stock.0, unit_of(&stock.unit_symbol)).ok()
    }
}

/// A zero error that is allowed.
#[derive(Clone, Debug, PartialEq)]
pub struct ZeroAllowed {
    /// The most: of lengths in millimetres, else in `unit`.
    pub most: f64,
    /// The unit of the figure.
    pub unit: Unit,
    /// With its unit, as the rules have it.
    pub words: String,
}

/// Decimals without the zeros at their end.
fn trimmed(value: f64) -> String {
    let all = format!("{value:.9}");
    all.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A surface that an instrument may be unfit for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NeverFor {
    /// Journals, pins, stems.
    Shaft,
    /// Bores and housings.
    Bore,
}

impl NeverFor {
    const fn shape(self) -> Shape {
        match self {
            Self::Shaft => Shape::Shaft,
            Self::Bore => Shape::Bore,
        }
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
    /// The zero error it may have.
    #[serde(default)]
    pub zero_allowed: Option<Digits>,
    /// What it is never used for; a calliper for neither where nothing is said.
    #[serde(default)]
    pub never_for: Option<Vec<NeverFor>>,
    /// It gives an interval: a feeler, a gauging strip.
    #[serde(default)]
    pub interval: bool,
    /// What one blade of it may be off by, either way.
    #[serde(default)]
    pub blade: Option<Digits>,
    /// Whose figures these are.
    #[serde(default)]
    pub source: String,
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

    /// Standard uncertainty of one blade of an instrument that is read by feel, in millimetres: of what the rules say a
    /// rectangle. `None` where they say nothing of it.
    #[must_use]
    pub fn of_a_blade(&self) -> Option<f64> {
        let most = self.blade.as_ref()?.0.parse::<f64>().ok()? * self.unit().scale();
        Some(most / 3_f64.sqrt()).filter(|u| self.interval && *u > 1e-9)
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
