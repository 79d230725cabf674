//! One effect, and how its numbers are held and shown.

use crate::metrology::{Exact, Unit};
use crate::sheets::{Limits, Row};

/// What a cut moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Piston and ring set of another size and weight.
    Pistons,
    /// What the gasket's hole leaves around a bigger bore.
    GasketHole,
    /// Of the engine.
    Displacement,
    /// Of one cylinder.
    CompressionRatio,
    /// Least and most of the engine.
    RatioSpread,
    /// Of the head's chamber.
    ChamberVolume,
    /// Crown below or above the deck.
    PistonToDeck,
    /// Crown to head.
    Squish,
    /// Which gasket the highest piston takes.
    Gasket,
    /// How much too long.
    Pushrods,
    /// Valve and piston come closer.
    PistonToValve,
    /// What comes off the manifold of a vee.
    ManifoldFaces,
    /// How much later an overhead cam runs.
    CamTiming,
    /// How much closer the shafts of chain or belt come.
    CamDrive,
    /// Valve below the face of the head.
    Recession,
    /// Stem above the spring seat.
    ValveTip,
    /// Installed, with the shim that is then laid under.
    SpringHeight,
    /// At that height.
    SpringLoad,
    /// Left before coil meets coil at full lift.
    CoilGap,
    /// Left beside a bore.
    Wall,
    /// Centre to centre of a rod.
    RodCentres,
    /// Between the rods of the engine.
    RodSpread,
    /// Thickness or height that is left.
    Left,
    /// Everything ever taken off.
    EverRemoved,
    /// The sheet does not say what is needed.
    NotComputed,
}

impl What {
    /// As printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pistons => "pistons and rings",
            Self::GasketHole => "gasket around the bore",
            Self::Displacement => "displacement",
            Self::CompressionRatio => "compression ratio",
            Self::RatioSpread => "compression ratio over the engine",
            Self::ChamberVolume => "chamber volume",
            Self::PistonToDeck => "piston to deck",
            Self::Squish => "piston to head",
            Self::Gasket => "head gasket",
            Self::Pushrods => "pushrods",
            Self::PistonToValve => "piston to valve",
            Self::ManifoldFaces => "manifold faces",
            Self::CamTiming => "cam timing",
            Self::CamDrive => "cam drive",
            Self::Recession => "valve below the face",
            Self::ValveTip => "valve tip above the spring seat",
            Self::SpringHeight => "spring installed height",
            Self::SpringLoad => "spring load",
            Self::CoilGap => "gap to coil bind",
            Self::Wall => "wall left",
            Self::RodCentres => "rod centre distance",
            Self::RodSpread => "rods against each other",
            Self::Left => "left after the cut",
            Self::EverRemoved => "ever removed",
            Self::NotComputed => "not computed",
        }
    }
}

/// A number of an effect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// Exact, in this unit.
    Exact(Exact, Unit),
    /// Computed with pi or a cosine.
    Computed {
        /// The value.
        value: f64,
        /// It is off by at most this, from the arithmetic alone.
        error: f64,
        /// As printed behind it.
        unit: &'static str,
        /// Decimals that are printed.
        places: usize,
    },
}

impl Amount {
    /// As printed, with its unit.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Exact(value, unit) => shown(*value, *unit),
            Self::Computed { value, unit: "", places, .. } => format!("{value:.places$}"),
            Self::Computed { value, unit, places, .. } => format!("{value:.places$} {unit}"),
        }
    }

    /// The nearest double: of a length millimetres, of anything else its unit.
    #[must_use]
    pub fn to_f64(&self) -> f64 {
        match self {
            Self::Exact(value, _) => value.to_mm(),
            Self::Computed { value, .. } => *value,
        }
    }
}

/// What would stand where, and whether that is allowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Effect {
    /// What it is about.
    pub what: What,
    /// Where, in the sheet's words; empty for the whole engine.
    pub position: String,
    /// What stands there now, and whether that was read; `None` where only a change is known.
    pub now: Option<String>,
    /// What would stand there, in words.
    pub then: String,
    /// The same as a number: of a range the end that the limit meets first. `None` where it cannot be computed.
    pub value: Option<Amount>,
    /// The limit that decides, and its column.
    pub limit: Option<String>,
    /// Whether it holds; `None` without a limit, or where the ends of a range do not agree.
    pub inside: Option<bool>,
    /// Distance to the limit, below zero beyond it.
    pub margin: Option<Amount>,
    /// The rule, in words.
    pub rule: &'static str,
    /// Where the rule comes from.
    pub source: &'static str,
    /// How it was computed, and what to mind.
    pub steps: Vec<String>,
}

/// Rule and source of an effect.
#[derive(Clone, Copy)]
pub(super) struct Rule(pub(super) &'static str, pub(super) &'static str);

/// Two ends, the lower first; one value has both alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Range {
    pub(super) low: Exact,
    pub(super) high: Exact,
}

impl Range {
    pub(super) fn one(value: Exact) -> Self {
        Self { low: value, high: value }
    }

    pub(super) fn plus(self, more: Exact) -> Self {
        Self { low: self.low + more, high: self.high + more }
    }

    pub(super) fn words(self, unit: Unit) -> String {
        if self.low == self.high {
            shown(self.low, unit)
        } else {
            format!("{} to {}", self.low.show(unit), shown(self.high, unit))
        }
    }
}

pub(super) fn shown(value: Exact, unit: Unit) -> String {
    format!("{} {}", value.show(unit), unit.symbol())
}

/// Limits that decide, and where they stand.
#[derive(Clone, Debug)]
pub(super) struct Deciding {
    pub(super) limits: Limits,
    pub(super) source: String,
}

impl Deciding {
    /// The limits of a row for what was cut: after work, else new.
    pub(super) fn of(row: &Row) -> Option<Self> {
        let after = row.after_work.map(|limits| (limits, "after work"));
        let (limits, column) = after.or_else(|| row.new.map(|limits| (limits, "new")))?;
        Some(Self { limits, source: format!("{column}, row {}", row.number) })
    }

    pub(super) fn words(&self, unit: Unit) -> String {
        let bounds = match (self.limits.min, self.limits.max) {
            (Some(min), Some(max)) => format!("{} to {}", min.show(unit), shown(max, unit)),
            (Some(min), None) => format!("at least {}", shown(min, unit)),
            (None, Some(max)) => format!("at most {}", shown(max, unit)),
            (None, None) => String::new(),
        };
        format!("{bounds} ({})", self.source)
    }

    fn margin(&self, value: Exact) -> Option<Exact> {
        let low = self.limits.min.map(|min| value - min);
        let high = self.limits.max.map(|max| max - value);
        low.into_iter().chain(high).min()
    }
}

impl Effect {
    pub(super) fn new(what: What, position: impl Into<String>, then: String, rule: Rule) -> Self {
        Self {
            what,
            position: position.into(),
            now: None,
            then,
            value: None,
            limit: None,
            inside: None,
            margin: None,
            rule: rule.0,
            source: rule.1,
            steps: Vec::new(),
        }
    }

    /// Something the sheet does not say, and what to do instead.
    pub(super) fn missing(what: What, lacks: &str, rule: Rule) -> Self {
        Self::new(what, "", lacks.to_owned(), rule)
    }

    /// A length, volume or load with its limits.
    pub(super) fn ranged(
        what: What,
        position: impl Into<String>,
        (range, unit): (Range, Unit),
        deciding: Option<&Deciding>,
        rule: Rule,
    ) -> Self {
        let mut effect = Self::new(what, position, range.words(unit), rule);
        effect.value = Some(Amount::Exact(range.low, unit));
        let Some(deciding) = deciding else { return effect };
        let ends = [range.low, range.high].map(|end| (end, deciding.margin(end)));
        let worst = ends.iter().filter_map(|(end, margin)| Some((*margin.as_ref()?, *end))).min();
        let [low, high] = ends.map(|(end, _)| deciding.limits.outside(end).is_none());
        effect.limit = Some(deciding.words(unit));
        effect.inside = (low == high).then_some(low);
        if let Some((margin, end)) = worst {
            effect.value = Some(Amount::Exact(end, unit));
            effect.margin = Some(Amount::Exact(margin, unit));
        }
        effect
    }

    pub(super) fn from(mut self, now: impl Into<String>) -> Self {
        self.now = Some(now.into());
        self
    }

    pub(super) fn worth(mut self, value: Amount) -> Self {
        self.value = Some(value);
        self
    }

    pub(super) fn step(mut self, words: impl Into<String>) -> Self {
        self.steps.push(words.into());
        self
    }
}
