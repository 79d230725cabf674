//! Features: what is measured, at which places, in which sizes, judged by which rows.

use crate::metrology::{Exact, Unit};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::limits::Limits;
use crate::sheets::names::{find_name, find_position};
use crate::sheets::row::Row;
use crate::sheets::shape::Shape;
use crate::sheets::wears_as::WearsAs;
use crate::sheets::worked::Worked;

/// Characteristics of which a cut takes something.
pub const THICKNESS: [Characteristic; 3] =
    [Characteristic::Thickness, Characteristic::Height, Characteristic::Length];

/// A feature of the engine family.
#[derive(Clone, Debug)]
pub struct Feature {
    /// The word drops use.
    pub key: String,
    /// For people.
    pub name: String,
    /// Index of its part kind in the sheet.
    pub part: usize,
    /// Which way wear goes.
    pub shape: Shape,
    /// The unit it is measured and judged in: the sheet's, but for what is no length.
    pub unit: Unit,
    /// Indices of the features whose machining moves this one: a skimmed head changes its chambers.
    pub moved_by: Vec<usize>,
    /// Indices of the part kinds it was bored, honed or set together with: with another piece of one of them it is another
    /// feature, and what was read before says nothing of it.
    pub made_with: Vec<usize>,
    /// Index of the feature an indicator runs on whose swings are read here.
    pub swings_on: Option<usize>,
    /// The vee block in which it is turned, where swings in one are read.
    pub vee: Option<Vee>,
    /// Often lobed, as what is ground between centreless wheels: two points do not see odd lobes.
    pub lobed: bool,
    /// A diameter between two points may be off by so much either way for lobes they do not see; `None` where the sheet
    /// declares nothing.
    pub lobing: Option<Exact>,
    /// What it is to the general wear rules; `None` where the sheet does not say.
    pub wears_as: Option<WearsAs>,
    /// Gaskets to choose from by how far the highest part stands proud, thinnest first; empty for most.
    pub gaskets: Vec<Gasket>,
    /// What every such gasket leaves between the highest part and the head.
    pub squish: Option<Limits>,
    /// Size-class group, empty where each position stands alone.
    pub group: String,
    /// Positions, front to rear where that has a meaning.
    pub positions: Vec<String>,
    /// Planes or levels, front or top first.
    pub stations: Vec<String>,
    /// Stations that are not part of the judged surface: an unworn band.
    pub unworn: Vec<String>,
    /// Where each judged station lies, in their order, when what is read there are heights of one surface or line;
    /// empty for most.
    pub points: Vec<SurfacePoint>,
    /// At which angle of a turn each direction stands, degrees, when what is read there are heights over the turn; empty
    /// for most.
    pub angles: Vec<Exact>,
    /// What its worked-out values need beside.
    pub worked: Worked,
    /// Directions in a plane.
    pub directions: Vec<String>,
    /// Sizes beside standard.
    pub sizes: Option<SizeSeries>,
    /// What may be done when it is beyond its limit, in the order a careful rebuilder tries them; beside it the part can
    /// be replaced.
    pub remedies: Vec<Remedy>,
    /// Grades inside new limits at standard, smallest first.
    pub grades: Vec<(String, Limits)>,
    /// The rows that judge it.
    pub rows: Vec<Row>,
}

/// What may be done about a surface beyond its limit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remedy {
    /// The operation, in the words of price lists and orders.
    pub operation: String,
    /// What it does.
    pub kind: RemedyKind,
    /// Index of the feature that gets thinner by it, where a face is cut, or that is cut by it.
    pub takes_from: Option<usize>,
    /// About how much it takes off, where it is no work to a size.
    pub off: Option<Exact>,
}

/// What an operation does for a surface beyond its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RemedyKind {
    /// Machined to the next size of its list: ground, bored, honed.
    ToSize,
    /// A sleeve is put in and finished to the size of its fellows.
    Sleeve,
    /// Metal is put on and finished to the size of its fellows.
    BuildUp,
    /// Brought back to standard by cutting what it is clamped with: a line bore, a resized rod.
    Restore,
    /// A face is cut flat.
    Cut,
    /// Straightened.
    Straighten,
    /// Anything else that leaves its size class: polished, a seat cut, a guide fitted.
    Dress,
}

impl RemedyKind {
    /// What the operation of this word does; of one that is not in the list nothing is known but that it leaves the size.
    #[must_use]
    pub fn of(operation: &str) -> Self {
        match operation {
            "grind" | "bore" | "hone" | "bore and hone" => Self::ToSize,
            "sleeve" => Self::Sleeve,
            "weld" => Self::BuildUp,
            "line hone" | "line bore" | "resize" => Self::Restore,
            "skim" | "deck" | "resurface" => Self::Cut,
            "straighten" => Self::Straighten,
            _ => Self::Dress,
        }
    }
}

/// A vee block with the indicator on its bisector, and the lobes looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Vee {
    /// Between its flats, degrees.
    pub angle: Exact,
    /// How many lobes the part has.
    pub lobes: u32,
}

/// Where a height is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SurfacePoint {
    /// Along the surface or line.
    pub along: Exact,
    /// Across the surface; `None` of a line.
    pub across: Option<Exact>,
}

/// A gasket of a choice by protrusion.
#[derive(Clone, Debug)]
pub struct Gasket {
    /// As it is marked: `1 notch`.
    pub name: String,
    /// For a highest protrusion up to this, and above the one before.
    pub up_to: Exact,
    /// Compressed.
    pub thickness: Exact,
}

/// The sizes a feature can be finished to or bought in, as steps from standard.
#[derive(Clone, Debug)]
pub struct SizeSeries {
    /// -1 for undersizes of a shaft, +1 for oversizes of a bore or piston and for thicker walls.
    pub sign: i32,
    /// The part takes half the step: a shell wall.
    pub halved: bool,
    /// Steps that are fitted without machining.
    pub select_fit: Vec<Exact>,
    /// Steps that are machined to, or bought.
    pub steps: Vec<Exact>,
    /// Finished limits at step zero.
    pub finish: Limits,
    /// A hardened skin that ends somewhere.
    pub skin: Option<Skin>,
}

/// A hardened skin: how deep machining may go before it is through, and what puts a new one on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Skin {
    /// The last step that leaves it whole.
    pub whole_to: Exact,
    /// The operation that hardens the part again; without one nothing is finished past that step.
    pub again: Option<String>,
}

impl SizeSeries {
    /// Finished limits at a step of the series.
    #[must_use]
    pub fn finished(&self, step: Exact) -> Limits {
        self.finish.moved(self.shift(step))
    }

    /// What a step adds to a size of this feature.
    #[must_use]
    pub fn shift(&self, step: Exact) -> Exact {
        let whole = step * self.sign;
        if self.halved { whole.part(1, 2) } else { whole }
    }

    /// Is the step in either list?
    #[must_use]
    pub fn has(&self, step: Exact) -> bool {
        self.steps.contains(&step) || self.select_fit.contains(&step)
    }
}

impl Feature {
    /// Index of the position a person typed.
    #[must_use]
    pub fn position(&self, written: &str) -> Option<usize> {
        find_position(&self.positions, written)
    }

    /// Index of the station a person typed; unworn stations count on after the judged ones.
    #[must_use]
    pub fn station(&self, written: &str) -> Option<usize> {
        find_name(self.stations.iter().chain(&self.unworn), written)
    }

    /// Index of the direction a person typed.
    #[must_use]
    pub fn direction(&self, written: &str) -> Option<usize> {
        find_name(self.directions.iter(), written)
    }

    /// Name of the station with this index, unworn ones after the judged ones.
    #[must_use]
    pub fn station_name(&self, index: usize) -> &str {
        self.stations.iter().chain(&self.unworn).nth(index).map_or("", String::as_str)
    }

    /// The row that says how thick it is, or how high or long: what a cut takes from.
    #[must_use]
    pub fn thickness_row(&self) -> Option<&Row> {
        THICKNESS.into_iter().find_map(|characteristic| self.row(characteristic))
    }

    /// What is gone of one that measures so much, at least: a new one has no less than its lower limit. `None` where the
    /// sheet has none.
    #[must_use]
    pub fn gone_at(&self, read: Exact) -> Option<Exact> {
        let new = self.thickness_row()?.new?.min?;
        Some((new - read).max(Exact::ZERO))
    }

    /// The row that judges this characteristic.
    #[must_use]
    pub fn row(&self, characteristic: Characteristic) -> Option<&Row> {
        self.rows.iter().find(|row| row.characteristic == characteristic)
    }

    /// Limits for a new or finished surface at a step from standard (`None` is standard).
    #[must_use]
    pub fn new_limits(&self, step: Option<Exact>) -> Option<Limits> {
        match (step, &self.sizes) {
            (Some(step), Some(series)) => Some(series.finished(step)),
            (Some(_) | None, _) => self.row(Characteristic::Size).and_then(|row| row.new),
        }
    }

    /// What a step adds to this feature's size; zero at standard.
    #[must_use]
    pub fn shift(&self, step: Option<Exact>) -> Exact {
        match (step, &self.sizes) {
            (Some(step), Some(series)) => series.shift(step),
            (Some(_) | None, _) => Exact::ZERO,
        }
    }
}
