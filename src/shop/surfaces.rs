//! Surfaces: a feature at a position, what was done to it, and the sets of readings it has.

use crate::facts::{BoltState, Digest, PartState, SizeWord};
use crate::metrology::Exact;
use crate::sheets::Feature;
use crate::shop::decisions::Confirmed;
use crate::shop::gauge_in_use::GaugeInUse;
use jiff::Timestamp;
use smol_str::SmolStr;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Indices of a feature and one of its positions in the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SurfaceKey {
    /// Index of the feature.
    pub feature: usize,
    /// Index of the position.
    pub position: usize,
}

/// A place on a surface: station and direction, as indices of the feature's lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Index of the station; unworn ones after the judged ones.
    pub station: usize,
    /// Index of the direction.
    pub direction: usize,
}

impl Place {
    /// In the words of the feature: `front X`.
    #[must_use]
    pub fn name(&self, feature: &Feature) -> String {
        let direction = feature.directions.get(self.direction).map_or("", String::as_str);
        format!("{} {direction}", feature.station_name(self.station)).trim().to_owned()
    }
}

/// Condition of a surface when it was measured. Ordered as a surface lives through them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Condition {
    /// As it came in.
    AsReceived,
    /// Cleaned, not worked on.
    Cleaned,
    /// After so many operations on it.
    AfterWork(usize),
    /// In the assembled engine, after so many operations.
    AtAssembly(usize),
}

impl Condition {
    /// As printed.
    #[must_use]
    pub fn word(self) -> String {
        match self {
            Self::AsReceived => "as received".to_owned(),
            Self::Cleaned => "cleaned".to_owned(),
            Self::AfterWork(k) => format!("after work {k}"),
            Self::AtAssembly(0) => "at assembly".to_owned(),
            Self::AtAssembly(k) => format!("at assembly, after work {k}"),
        }
    }

    /// In the assembled engine?
    #[must_use]
    pub const fn is_at_assembly(self) -> bool {
        matches!(self, Self::AtAssembly(_))
    }

    /// How many operations had been done.
    #[must_use]
    pub const fn operations(self) -> usize {
        match self {
            Self::AsReceived | Self::Cleaned => 0,
            Self::AfterWork(k) | Self::AtAssembly(k) => k,
        }
    }
}

/// Which set of readings: of which instance of the part, in which condition.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SetKey {
    /// 1 for the part that came in, 2 for its first replacement.
    pub instance: usize,
    /// The condition.
    pub condition: Condition,
}

/// How uncertain a reading is for its temperatures: standard uncertainties in millimetres, each with the sign that
/// its cause has in the length, so that one cause in two readings can cancel.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Warmth {
    /// Index of the part in the sheet: what its coefficient is off by is one error for all of it.
    pub of: usize,
    /// From the coefficient of the part.
    pub part: f64,
    /// From the coefficient of the gauge, or of the standard it was set from.
    pub gauge: f64,
    /// From the temperature of the gauge, where only that of the part was given and nothing was corrected.
    pub unsaid: f64,
    /// From the temperature of part and gauge together, where none was given and the house says how far it may be off.
    pub air: f64,
    /// From what the thermometer on the part may be off by.
    pub part_taken: f64,
    /// From what the one on the gauge may be off by.
    pub gauge_taken: f64,
}

impl Warmth {
    /// What is one draw for all readings of a drop.
    #[must_use]
    pub fn of_drop(&self) -> f64 {
        let more = [self.air, self.part_taken, self.gauge_taken];
        more.into_iter().filter(|u| *u != 0.0).fold(self.unsaid.abs(), f64::hypot)
    }
}

/// How two blades leave a gap: the value of the reading is the middle between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// Half of what lies between them, millimetres.
    pub half: f64,
    /// One goes in; where none does the gap ends at nothing, which no blade is off by.
    pub goes_in: bool,
}

/// One reading that counts, unless it is questioned further down.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The statement it stands in.
    pub fact: Digest,
    /// Its row there, from 0.
    pub row: usize,
    /// Where.
    pub place: Place,
    /// As it was read.
    pub as_read: Exact,
    /// The digits as they were written.
    pub digits: SmolStr,
    /// The unit they were written in.
    pub unit: crate::metrology::Unit,
    /// Of a gap between two blades: how they leave it.
    pub between: Option<Between>,
    /// Brought to 20 degrees Celsius where both temperatures were given, else as read.
    pub value: Exact,
    /// Both temperatures were given.
    pub at_reference: bool,
    /// What the temperatures leave open.
    pub warmth: Warmth,
    /// The gauge, if one was named.
    pub gauge: Option<Arc<GaugeInUse>>,
    /// Who read it.
    pub who: Arc<str>,
    /// When it was recorded.
    pub recorded: Timestamp,
    /// A named person has confirmed it as written; whether that word stands is asked where readings are questioned.
    pub confirmed: Option<Arc<Confirmed>>,
    /// State of the bolts that clamped it.
    pub bolts: Option<BoltState>,
    /// Torque plate on or off, where it was said.
    pub plate: Option<bool>,
    /// Stated "as received" although the surface had been worked on before.
    pub stated_as_received: bool,
    /// It replaces another reading, named by a correction.
    pub is_correction: bool,
}

/// All readings of one surface in one condition.
#[derive(Clone, Debug, Default)]
pub struct ReadingSet {
    /// The size the surface was last finished to before the set.
    pub basis: Option<SizeWord>,
    /// By place, in recorded order.
    pub readings: BTreeMap<Place, Vec<Reading>>,
}

/// An operation done on a surface.
#[derive(Clone, Debug)]
pub struct Done {
    /// The statement.
    pub fact: Digest,
    /// What was done.
    pub operation: String,
    /// Size class it was finished to, where it changes it.
    pub finished: Option<SizeWord>,
    /// Metal taken off, where it was said.
    pub removed: Option<Exact>,
    /// Who did it.
    pub who: String,
    /// When it was recorded, as written.
    pub recorded: String,
    /// Which instance of the part it was done on.
    pub instance: usize,
}

/// One surface of the engine: its history and its readings.
#[derive(Clone, Debug)]
pub struct Surface {
    /// The instance that is there now.
    pub instance: usize,
    /// Whether a replacement that is there now was new.
    pub state: Option<PartState>,
    /// What was done to it, all instances, in recorded order.
    pub done: Vec<Done>,
    /// Its sets of readings.
    pub sets: BTreeMap<SetKey, ReadingSet>,
    /// Size class of the instance that is there now, after everything done to it.
    pub basis: Option<SizeWord>,
}

impl Surface {
    /// What was done to the instance that is there now.
    pub fn done_now(&self) -> impl Iterator<Item = &Done> {
        self.done.iter().filter(|done| done.instance == self.instance)
    }

    /// What was taken off it here, as far as that was said.
    #[must_use]
    pub fn removed(&self) -> Exact {
        let said = self.done_now().filter_map(|done| done.removed);
        said.fold(Exact::ZERO, |sum, more| sum + more)
    }

    /// The set that speaks for the surface as it is: of the present instance, after everything done to it,
    /// in the latest condition that has readings. `None` when nothing was measured since.
    #[must_use]
    pub fn present(&self) -> Option<(&SetKey, &ReadingSet)> {
        let operations = self.done_now().count();
        self.sets
            .iter()
            .rev()
            .find(|(key, _)| key.instance == self.instance && key.condition.operations() == operations)
    }

    /// The same before the engine goes together: as received, cleaned or after work.
    #[must_use]
    pub fn before_assembly(&self) -> Option<(&SetKey, &ReadingSet)> {
        let operations = self.done_now().count();
        self.sets.iter().rev().find(|(key, _)| {
            let condition = key.condition;
            key.instance == self.instance
                && condition.operations() == operations
                && !condition.is_at_assembly()
        })
    }

    /// The key of the set that speaks for the surface as it goes together.
    #[must_use]
    pub fn assembly_key(&self) -> SetKey {
        SetKey { instance: self.instance, condition: Condition::AtAssembly(self.done_now().count()) }
    }

    /// The condition a new reading would have: after the last operation, or as received.
    #[must_use]
    pub fn condition_now(&self) -> Condition {
        match self.done_now().count() {
            0 => Condition::AsReceived,
            k => Condition::AfterWork(k),
        }
    }
}
