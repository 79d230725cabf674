//! A size in the trade's words: `standard`, `0.010 under`, `0.030 over`.

use crate::metrology::{Exact, Length, Unit};

/// A size class as written, read exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SizeWord {
    /// As made.
    Standard,
    /// Ground this much smaller than standard; for shells, made for a shaft that is.
    Under(Exact),
    /// Bored this much larger than standard.
    Over(Exact),
}

impl SizeWord {
    /// Reads the words; `None` when they are others or the step is zero.
    #[must_use]
    pub fn parse(written: &str, unit: Unit) -> Option<Self> {
        if written == "standard" {
            return Some(Self::Standard);
        }
        let (digits, sense) = written.split_once(' ')?;
        let step = Length::parse(digits, unit).ok()?.exact();
        if step <= Exact::ZERO {
            return None;
        }
        match sense {
            "under" => Some(Self::Under(step)),
            "over" => Some(Self::Over(step)),
            _ => None,
        }
    }

    /// The step from standard; `None` at standard.
    #[must_use]
    pub const fn step(self) -> Option<Exact> {
        match self {
            Self::Standard => None,
            Self::Under(step) | Self::Over(step) => Some(step),
        }
    }

    /// In words again.
    #[must_use]
    pub fn show(self, unit: Unit) -> String {
        match self {
            Self::Standard => "standard".to_owned(),
            Self::Under(step) => format!("{} under", show_step(step, unit)),
            Self::Over(step) => format!("{} over", show_step(step, unit)),
        }
    }
}

/// Steps are written with three decimals in inches and two in millimetres, more only where needed.
#[must_use]
pub fn show_step(step: Exact, unit: Unit) -> String {
    let shown = step.show(unit);
    shown.strip_suffix('0').map_or(shown.clone(), str::to_owned)
}
