//! A verdict in words: the limit, the distance from it, how sure, and what to know beside it.

use crate::judgement::Verdict;
use crate::judgement::judged::{Band, Judged, Note};
use crate::judgement::plain;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Column, Limits, Shape, Side};

/// `2.2471 in`.
#[must_use]
pub fn length(value: Exact, unit: Unit) -> String {
    format!("{} {}", value.show(unit), unit.symbol())
}

/// `min 2.2480`, `max 0.0005`, `2.2390 to 2.2395`.
#[must_use]
pub fn limits(limits: &Limits, unit: Unit) -> String {
    match (limits.min, limits.max) {
        (Some(min), Some(max)) => format!("{} to {}", min.show(unit), max.show(unit)),
        (Some(min), None) => format!("min {}", min.show(unit)),
        (None, Some(max)) => format!("max {}", max.show(unit)),
        (None, None) => "none".to_owned(),
    }
}

impl Judged {
    /// The limit that decides, with its column: `service min 2.2480 in`. Where the value lies outside on a side
    /// the column does not name, the new limit that holds there.
    #[must_use]
    pub fn limit_words(&self, unit: Unit) -> String {
        if self.wider_across().is_some() {
            return "never wider across than on the vertical".to_owned();
        }
        let Some(deciding) = &self.deciding else { return "no limit on the sheet".to_owned() };
        if let Band::Beyond(side) = self.band {
            let named = match side {
                Side::Below => deciding.proof.min,
                Side::Above => deciding.proof.max,
            };
            let column = if named.is_some() { deciding.column } else { Column::New };
            let sense = if side == Side::Below { "min" } else { "max" };
            if let Some(bound) = deciding.bound(side) {
                return format!("{} {sense} {}", column.word(), length(bound, unit));
            }
        }
        format!("{} {} {}", deciding.column.word(), limits(&deciding.proof, unit), unit.symbol())
    }

    /// How far beyond, or how much is left: `0.0009 in below the limit`, `0.0002 in inside the limit`.
    #[must_use]
    pub fn margin_words(&self, unit: Unit) -> String {
        if let Some(by) = self.wider_across() {
            return format!("{} wider across", length(by, unit));
        }
        let Some(deciding) = &self.deciding else { return String::new() };
        if let Band::Beyond(side) = self.band {
            let word = if side == Side::Below { "below the limit" } else { "above the limit" };
            return deciding.bound(side).map_or_else(String::new, |bound| {
                format!("{} {word}", length((self.value - bound).abs(), unit))
            });
        }
        let left =
            [deciding.proof.min.map(|min| self.value - min), deciding.proof.max.map(|max| max - self.value)];
        let least = left.into_iter().flatten().min();
        least.map_or_else(String::new, |left| format!("{} inside the limit", length(left, unit)))
    }

    fn wider_across(&self) -> Option<Exact> {
        self.notes.iter().find_map(|note| if let Note::WiderAcross(by) = note { Some(*by) } else { None })
    }

    /// `conforms with probability 0.026`; empty without a figure.
    #[must_use]
    pub fn probability_words(&self) -> String {
        let words = |p: f64| match p {
            p if p < 0.001 => "below 0.001".to_owned(),
            p if p > 0.999 => "above 0.999".to_owned(),
            p => format!("{p:.3}"),
        };
        self.probability.map_or_else(String::new, |p| format!("conforms with probability {}", words(p)))
    }

    /// Expanded uncertainty, k = 2: `U 0.00025 in`; empty without a figure.
    #[must_use]
    pub fn uncertainty_words(&self, unit: Unit) -> String {
        let (scale, decimals) = (unit.scale(), rough_decimals(unit));
        self.u.map_or_else(String::new, |u| format!("U {:.decimals$} {}", 2.0 * u / scale, unit.symbol()))
    }

    /// The value with what must be said in the same breath: `0.0001 in, not resolved (0 to 0.00033)`.
    #[must_use]
    pub fn value_words(&self, unit: Unit) -> String {
        let resolved = self.notes.iter().find_map(|note| {
            if let Note::NotResolved(most) = note {
                Some(format!(", not resolved (0 to {})", rough(*most, unit)))
            } else {
                None
            }
        });
        format!("{}{}", length(self.value, unit), resolved.unwrap_or_default())
    }
}

/// Five decimals in inches, four in millimetres, two in what is no length: enough for an estimate.
fn rough_decimals(unit: Unit) -> usize {
    unit.of_length(5, 4).unwrap_or(2)
}

pub(super) fn rough(value: Exact, unit: Unit) -> String {
    let decimals = rough_decimals(unit);
    format!("{:.decimals$}", value.to_mm() / unit.scale())
}

impl Note {
    /// The note as a sentence.
    #[must_use]
    pub fn words(&self, unit: Unit) -> String {
        match self {
            Self::OnLimit => "exactly on the limit: inside by number, not proven".to_owned(),
            Self::OutsideNew => "outside new limits".to_owned(),
            Self::NotResolved(most) => {
                format!("below what this gauge resolves: between 0 and {}", rough(*most, unit))
            }
            Self::NoiseFloor(floor) => {
                format!(
                    "a perfect surface shows up to {} with this gauge in 95 of 100 sets",
                    rough(*floor, unit)
                )
            }
            Self::CannotJudge { three_would_do: true } => {
                "so few readings by this gauge cannot prove this limit: take three a place, or a finer gauge"
                    .to_owned()
            }
            Self::CannotJudge { three_would_do: false } => {
                "this gauge cannot prove this limit, not with three readings a place either: take a finer one"
                    .to_owned()
            }
            Self::NoiseShows(sets) => format!(
                "no proof: with these gauges a part just inside shows its worst place this far out in up to {sets} of 100 sets"
            ),
            Self::FixedDirections => {
                "read in two fixed directions: an oval at 45 degrees to them is not seen".to_owned()
            }
            Self::Oval { ovality, axis } => {
                format!(
                    "the oval through the three directions is {}, long axis {axis}",
                    length(*ovality, unit)
                )
            }
            Self::WiderAcross(by) => format!(
                "{} wider across the parting line than on the vertical: wrong, reversed or filed cap, or a spread saddle",
                length(*by, unit)
            ),
            Self::Beside(beside) => beside.words(unit),
            Self::Gasket(words) => words.clone(),
            Self::BetweenBlades { goes_in, not_in } => format!(
                "the middle between two blades: {} goes in, {} does not",
                goes_in.show(unit),
                length(*not_in, unit)
            ),
            Self::TooFineForFeeler => {
                "a straightedge and feeler cannot decide a limit this fine: use a grid of heights".to_owned()
            }
            Self::SeveralPeople => {
                "read by several people without a study of what their hands differ by: that is in it as well"
                    .to_owned()
            }
            Self::AtReference => "brought to 20 degrees Celsius".to_owned(),
            Self::AssumedUnworn(size) => {
                format!(
                    "no unworn band was read: {} stood in for the unworn size, so this is the most it can have worn",
                    length(*size, unit)
                )
            }
        }
    }
}

impl Verdict {
    /// Which way it is out, in the trade's words; empty when it is not.
    #[must_use]
    pub fn side_words(&self, shape: Option<Shape>) -> &'static str {
        let Some(judged) = self.judged.as_ref() else { return "" };
        let Band::Beyond(side) = judged.band else { return "" };
        if judged.wider_across().is_some() {
            return "wider across the parting line";
        }
        let plain = plain::of(self.key.characteristic);
        match (self.key.characteristic, shape, side) {
            (Characteristic::Size, Some(Shape::Wall), Side::Above) => "too thick",
            (Characteristic::Size, Some(Shape::Wall), Side::Below) => "too thin",
            (_, _, Side::Above) => plain.above,
            (_, _, Side::Below) => plain.below,
        }
    }

    /// `main journal 3, size (row 13)`.
    #[must_use]
    pub fn title(&self) -> String {
        format!("{}, {} (row {})", self.name, self.key.characteristic.word(), self.key.row)
    }
}
