//! `measurements`: readings, with the condition and the temperatures they were taken in.

use crate::facts::Digits;
use crate::facts::unit_of;
use crate::facts::words::words;
use crate::metrology::{Exact, Length, Temperatures, Unit};
use serde::Deserialize;
use smol_str::SmolStr;

/// Condition of the surface when it was measured, as people state it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum ConditionWord {
    /// As it came in.
    #[serde(rename = "as received")]
    AsReceived,
    /// After cleaning.
    #[serde(rename = "cleaned")]
    Cleaned,
    /// After the last operation on it.
    #[serde(rename = "after work")]
    AfterWork,
    /// In the assembled engine.
    #[serde(rename = "at assembly")]
    AtAssembly,
}

words! {
    /// State of the bolts that clamp what is measured.
    BoltState {
        /// Those that came with the engine.
        Old = "old",
        /// New ones.
        New = "new",
        /// Studs.
        Studs = "studs",
    }
}

/// A set of readings.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Measurements {
    /// Name of the study of a gauge that these readings belong to; they are then of no engine.
    #[serde(default)]
    pub study: Option<String>,
    /// Condition of all readings of the drop.
    pub condition: ConditionWord,
    /// The gauge; absent when none is named.
    #[serde(default)]
    pub gauge: Option<SmolStr>,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: SmolStr,
    /// Temperatures of part and gauge.
    #[serde(default)]
    pub temperatures: Option<TemperaturesBody>,
    /// State of the bolts that clamp what is measured.
    #[serde(default)]
    pub bolts: Option<BoltState>,
    /// Lubricant and torque they were tightened with.
    #[serde(default)]
    pub bolts_note: SmolStr,
    /// Torque plate on or off.
    #[serde(default)]
    pub plate: Option<bool>,
    /// The value a comparator was set to, for deviations.
    #[serde(default)]
    pub setting: Option<Digits>,
    /// The drop these readings correct.
    #[serde(default)]
    pub corrects: Option<CorrectionOf>,
    /// The readings.
    pub readings: Vec<ReadingBody>,
}

impl Measurements {
    /// The unit the readings are written in.
    #[must_use]
    pub fn unit(&self) -> Unit {
        unit_of(&self.unit_symbol)
    }

    /// Is any reading of it a gap between blades?
    #[must_use]
    pub fn has_blades(&self) -> bool {
        self.readings.iter().any(|reading| reading.blades.is_some())
    }

    /// The temperature of the part in thousandths of a degree, when it was given.
    #[must_use]
    pub fn part_temperature(&self) -> Option<i64> {
        thousandths(&self.temperatures.as_ref()?.part)
    }

    /// Temperatures in thousandths of a degree, when both were given.
    #[must_use]
    pub fn both_temperatures(&self) -> Option<Temperatures> {
        let given = self.temperatures.as_ref()?;
        Some(Temperatures { part: thousandths(&given.part)?, gauge: thousandths(given.gauge.as_ref()?)? })
    }
}

/// Thousandths of a degree; `None` for what no workshop has: below -50, above 200, finer than a thousandth.
pub(in crate::facts) fn thousandths(digits: &Digits) -> Option<i64> {
    let (negative, bare) = digits.0.strip_prefix('-').map_or((false, digits.0.as_str()), |rest| (true, rest));
    let (whole, decimals) = bare.split_once('.').unwrap_or((bare, ""));
    let value: i64 = format!("{whole}{decimals:0<3}").parse().ok()?;
    let value = if negative { -value } else { value };
    (decimals.len() <= 3 && (-50_000..=200_000).contains(&value)).then_some(value)
}

/// Temperatures in degrees Celsius.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct TemperaturesBody {
    /// Of the part.
    pub part: Digits,
    /// Of the gauge, or of the standard when the gauge was set.
    #[serde(default)]
    pub gauge: Option<Digits>,
}

/// Names the drop a correction replaces readings of.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CorrectionOf {
    /// Digest, full or short.
    pub drop: String,
    /// Why.
    pub why: String,
}

/// One reading.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ReadingBody {
    /// The feature, as typed.
    pub feature: SmolStr,
    /// The position, as typed; may be left out where there is one.
    #[serde(default)]
    pub position: Option<Digits>,
    /// The station, as typed; may be left out where there is one.
    #[serde(default)]
    pub station: Option<SmolStr>,
    /// The direction, as typed; may be left out where there is one.
    #[serde(default)]
    pub direction: Option<SmolStr>,
    /// The value as read.
    #[serde(default)]
    pub value: Option<Digits>,
    /// Deviation from the setting, with its sign.
    #[serde(default)]
    pub deviation: Option<Digits>,
    /// Between which two blades a gap lies.
    #[serde(default)]
    pub blades: Option<Box<Blades>>,
    /// The exact length: the value, setting plus deviation, or the blade that goes in. Filled in by decoding.
    #[serde(skip)]
    pub length: Length,
}

impl ReadingBody {
    /// The exact value: of a gap between blades its middle.
    #[must_use]
    pub fn read(&self) -> Exact {
        self.length.exact() + self.blades.as_ref().map_or(Exact::ZERO, |blades| blades.apart.half())
    }
}

/// Blades of a feeler, or pins: the thickest that goes in and the thinnest that does not.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Blades {
    /// Goes in; 0 where none does.
    pub goes_in: Digits,
    /// Does not.
    pub not_in: Digits,
    /// What lies between them. Filled in by decoding.
    #[serde(skip)]
    pub apart: Length,
}
