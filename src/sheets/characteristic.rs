//! The words of a sheet for what a row judges.

use crate::metrology::Unit;

/// What a row judges.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Characteristic {
    /// The size over all places of a position.
    Size,
    /// Difference of directions in one plane.
    OutOfRound,
    /// Difference of planes in one direction.
    Taper,
    /// Against the unworn size.
    Wear,
    /// Of a pair: outer less inner.
    Clearance,
    /// Of a pair: inner less outer.
    Interference,
    /// How far a shaft can be moved along its axis.
    EndPlay,
    /// Beside a ring in its groove, a rod on its pin, a gear in its body.
    SideClearance,
    /// Between the ends of a ring in its bore.
    EndGap,
    /// What stands proud of a housing with both shells in and one bolt slackened.
    Crush,
    /// Full swing of an indicator over one turn (TIR).
    RunOut,
    /// Largest gap under a straightedge, line by line; of heights at places, the zone that holds them.
    Flatness,
    /// As flatness, in any stretch of a stated length, from heights at places.
    FlatnessPerLength,
    /// How far bores in line are out of line.
    Alignment,
    /// Of a shaft or rod: half of what an indicator swings.
    Bend,
    /// Lean of an end or a face.
    Squareness,
    /// What a cam lobe lifts.
    Lift,
    /// Play in a valve train, cold or hot as the sheet says.
    Lash,
    /// Along the part.
    Length,
    /// Of a seat, a groove, a cheek.
    Width,
    /// From a datum up.
    Height,
    /// What is left between two faces.
    Thickness,
    /// From a datum down.
    Depth,
    /// How far something stands above its face.
    Protrusion,
    /// Left at the edge of a valve, or left before something touches.
    Margin,
    /// Of a spring, at a stated height.
    Load,
    /// Of a chamber.
    Volume,
    /// Of a chain or belt under the thumb.
    Deflection,
    /// Of oil, of compression.
    Pressure,
    /// Of a part.
    Weight,
    /// Largest less smallest over the positions of the engine.
    Spread,
    /// Of gears that mesh, by a dial on a tooth.
    Backlash,
    /// Ra of a finish.
    Roughness,
    /// Of a fillet, by a radius gauge.
    Radius,
    /// Of a rod, end against end.
    Twist,
    /// What an indicator at a lifted valve swings when it is rocked in its guide.
    Wobble,
    /// Of a cylinder under air, as a share of what goes in.
    Leakage,
    /// Angle of honing marks to the deck plane.
    CrossHatch,
    /// Of a rocker: what the valve lifts over what the lobe lifts.
    Ratio,
    /// Of a spring: load gained for each length it is pressed.
    Rate,
    /// Of a lobe: how far a lifter moves over its heel.
    BaseCircle,
    /// Of a lobe: turn of the crank from opening to closing.
    Duration,
    /// Of a lobe: where its middle stands, from top dead centre.
    Centreline,
    /// Of a lobe: how far its centreline is before the one intended.
    Advance,
    /// Where the degree wheel stands at top dead centre, by a positive stop.
    TopDeadCentre,
    /// Largest less smallest over the places of one position.
    Unevenness,
    /// Of a guide: how much wider its ends are than its middle.
    BellMouth,
    /// Spread as a share of the largest.
    SpreadPercent,
    /// Smallest as a share of the largest over the positions of the engine.
    LowestOfHighest,
    /// From one position to the next, where they are nearest.
    Step,
    /// Of neighbouring journals against each other, by swings and clock angles.
    NeighbourRunOut,
    /// Everything ever taken off.
    Removed,
    /// What a gauging strip reads between shaft and shell.
    StripClearance,
    /// Of a turn: the two concentric circles that hold heights at many angles.
    Roundness,
}

impl Characteristic {
    /// Every characteristic.
    pub const ALL: [Self; 54] = [
        Self::Size,
        Self::OutOfRound,
        Self::Taper,
        Self::Wear,
        Self::Clearance,
        Self::Interference,
        Self::EndPlay,
        Self::SideClearance,
        Self::EndGap,
        Self::Crush,
        Self::RunOut,
        Self::Flatness,
        Self::FlatnessPerLength,
        Self::Alignment,
        Self::Bend,
        Self::Squareness,
        Self::Lift,
        Self::Lash,
        Self::Length,
        Self::Width,
        Self::Height,
        Self::Thickness,
        Self::Depth,
        Self::Protrusion,
        Self::Margin,
        Self::Load,
        Self::Volume,
        Self::Deflection,
        Self::Pressure,
        Self::Weight,
        Self::Spread,
        Self::Backlash,
        Self::Roughness,
        Self::Radius,
        Self::Twist,
        Self::Wobble,
        Self::Leakage,
        Self::CrossHatch,
        Self::Ratio,
        Self::Rate,
        Self::BaseCircle,
        Self::Duration,
        Self::Centreline,
        Self::Advance,
        Self::TopDeadCentre,
        Self::Unevenness,
        Self::BellMouth,
        Self::SpreadPercent,
        Self::LowestOfHighest,
        Self::Step,
        Self::NeighbourRunOut,
        Self::Removed,
        Self::StripClearance,
        Self::Roundness,
    ];

    /// As written on sheets and pages.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Size => "size",
            Self::OutOfRound => "out-of-round",
            Self::Taper => "taper",
            Self::Wear => "wear",
            Self::Clearance => "clearance",
            Self::Interference => "interference",
            Self::EndPlay => "end play",
            Self::SideClearance => "side clearance",
            Self::EndGap => "end gap",
            Self::Crush => "crush",
            Self::RunOut => "run-out",
            Self::Flatness => "flatness",
            Self::FlatnessPerLength => "flatness per length",
            Self::Alignment => "alignment",
            Self::Bend => "bend",
            Self::Squareness => "squareness",
            Self::Lift => "lift",
            Self::Lash => "lash",
            Self::Length => "length",
            Self::Width => "width",
            Self::Height => "height",
            Self::Thickness => "thickness",
            Self::Depth => "depth",
            Self::Protrusion => "protrusion",
            Self::Margin => "margin",
            Self::Load => "load",
            Self::Volume => "volume",
            Self::Deflection => "deflection",
            Self::Pressure => "pressure",
            Self::Weight => "weight",
            Self::Spread => "spread",
            Self::Backlash => "backlash",
            Self::Roughness => "roughness",
            Self::Radius => "radius",
            Self::Twist => "twist",
            Self::Wobble => "wobble",
            Self::Leakage => "leakage",
            Self::CrossHatch => "cross-hatch",
            Self::Ratio => "ratio",
            Self::Rate => "rate",
            Self::BaseCircle => "base-circle run-out",
            Self::Duration => "duration",
            Self::Centreline => "centreline",
            Self::Advance => "advance",
            Self::TopDeadCentre => "top dead centre",
            Self::Unevenness => "unevenness",
            Self::BellMouth => "bell-mouth",
            Self::SpreadPercent => "spread percent",
            Self::LowestOfHighest => "lowest of highest",
            Self::Step => "step to the next",
            Self::NeighbourRunOut => "run-out of neighbours",
            Self::Removed => "removed",
            Self::StripClearance => "clearance by strip",
            Self::Roundness => "roundness",
        }
    }

    /// From the word on a sheet.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.word() == word)
    }

    /// Is it judged of a pair, from the places of its members?
    #[must_use]
    pub const fn is_of_pairs(self) -> bool {
        matches!(self, Self::Clearance | Self::Interference | Self::EndPlay | Self::SideClearance)
    }

    /// Is it judged of a feature?
    #[must_use]
    pub const fn is_of_features(self) -> bool {
        !matches!(self, Self::Clearance | Self::Interference)
    }

    /// A gap that a feeler may be put into.
    #[must_use]
    pub const fn is_a_gap(self) -> bool {
        matches!(
            self,
            Self::EndGap
                | Self::SideClearance
                | Self::EndPlay
                | Self::Lash
                | Self::Crush
                | Self::Flatness
                | Self::FlatnessPerLength
                | Self::Alignment
                | Self::Squareness
        )
    }

    /// A deviation from a perfect form, or something else that is best at nought and limited from above only.
    #[must_use]
    pub const fn is_limited_from_above(self) -> bool {
        matches!(
            self,
            Self::OutOfRound
                | Self::Taper
                | Self::Wear
                | Self::RunOut
                | Self::Flatness
                | Self::FlatnessPerLength
                | Self::Alignment
                | Self::Bend
                | Self::Squareness
                | Self::Spread
                | Self::Twist
                | Self::Wobble
                | Self::Leakage
                | Self::BaseCircle
                | Self::Unevenness
                | Self::BellMouth
                | Self::SpreadPercent
                | Self::Step
                | Self::NeighbourRunOut
                | Self::Removed
                | Self::Roundness
        )
    }

    /// Is it of several positions of a feature, and judged once for all of them?
    #[must_use]
    pub const fn is_of_sets(self) -> bool {
        matches!(
            self,
            Self::Spread | Self::SpreadPercent | Self::LowestOfHighest | Self::Step | Self::NeighbourRunOut
        )
    }

    /// Is it worked out, so that its limits say nothing of what may be read?
    #[must_use]
    pub const fn is_worked_out(self) -> bool {
        self.is_of_sets()
            || matches!(
                self,
                Self::OutOfRound
                    | Self::Taper
                    | Self::Wear
                    | Self::Removed
                    | Self::Ratio
                    | Self::Rate
                    | Self::BaseCircle
                    | Self::Duration
                    | Self::Centreline
                    | Self::Advance
                    | Self::TopDeadCentre
                    | Self::Unevenness
                    | Self::BellMouth
                    | Self::Roundness
            )
    }

    /// Its value is what places of one surface differ by, so that whatever they were not read alike by is in it.
    #[must_use]
    pub const fn holds_places_together(self) -> bool {
        matches!(
            self,
            Self::OutOfRound
                | Self::Taper
                | Self::BaseCircle
                | Self::Unevenness
                | Self::BellMouth
                | Self::Roundness
        )
    }

    /// The unit its limits and values are in, where its readings are in this one; where a feature is about the ratio of
    /// its readings, its spread is one of ratios.
    #[must_use]
    pub const fn unit(self, read: Unit, ratio: bool) -> Unit {
        match (self, read) {
            (Self::Spread, _) if ratio => Unit::ToOne,
            (Self::SpreadPercent | Self::LowestOfHighest, _) => Unit::Percent,
            (Self::Ratio, _) => Unit::ToOne,
            (Self::Rate, Unit::Newton) => Unit::NewtonPerMillimetre,
            (Self::Rate, _) => Unit::PoundForcePerInch,
            (_, read) => read,
        }
    }
}
