//! Fastener groups, sealing plugs and locking pins: what is counted out, tightened and counted in.

use crate::metrology::{Exact, Unit};
use crate::sheets::bolt_order::Layout;
use crate::sheets::names::same_name;

/// The unit torques of a group are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TorqueUnit {
    /// Pound-force foot.
    PoundFoot,
    /// Newton metre.
    NewtonMetre,
}

impl TorqueUnit {
    /// Its symbol: `lbf ft` or `N m`.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::PoundFoot => "lbf ft",
            Self::NewtonMetre => "N m",
        }
    }

    pub(super) fn from_symbol(text: &str) -> Option<Self> {
        [Self::PoundFoot, Self::NewtonMetre].into_iter().find(|unit| unit.symbol() == text)
    }

    /// The one the other column of a torque table is in.
    #[must_use]
    pub const fn other(self) -> Self {
        match self {
            Self::PoundFoot => Self::NewtonMetre,
            Self::NewtonMetre => Self::PoundFoot,
        }
    }

    /// Newton metres in one of it (1 lbf ft = 4.4482216152605 N x 0.3048 m, both exact by definition).
    #[must_use]
    pub const fn newton_metres(self) -> f64 {
        match self {
            Self::PoundFoot => 4.448_221_615_260_5 * 0.3048,
            Self::NewtonMetre => 1.0,
        }
    }
}

/// The metal a thread is cut into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EngagedIn {
    /// Iron: at least 1.25 diameters of thread.
    Iron,
    /// Aluminium: at least 2 diameters.
    Aluminium,
    /// Steel, a nut for instance: as iron.
    Steel,
}

impl EngagedIn {
    /// As written on sheets and pages.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Iron => "iron",
            Self::Aluminium => "aluminium",
            Self::Steel => "steel",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        [Self::Iron, Self::Aluminium, Self::Steel].into_iter().find(|metal| metal.word() == word)
    }
}

/// A thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// The system it belongs to: inch, or metric.
    pub unit: Unit,
    /// Outer diameter.
    pub diameter: Exact,
    /// Distance from thread to thread.
    pub pitch: Exact,
}

/// One size within a group.
#[derive(Clone, Debug)]
pub struct FastenerSize {
    /// As the bag's label says it: `1/2-13 x 3.75`.
    pub size: String,
    /// How many of them the engine has.
    pub count: u32,
    /// The places they go to, where those have names.
    pub places: Vec<String>,
    /// Thread, where it is one that can be computed with.
    pub thread: Option<Thread>,
    /// Length under the head.
    pub length: Option<Exact>,
    /// What the head lies on, down to the first thread of the hole.
    pub stack: Option<Exact>,
    /// Depth of the hole from the face the stack stands on; `None` for a through hole or a nut.
    pub hole: Option<Exact>,
    /// Torques of this size, stage by stage, where they differ from the group's.
    pub stages: Vec<String>,
    /// The same in the other unit, as the sheet prints them.
    pub other_stages: Vec<String>,
}

/// Pieces of a group that are always new.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AlwaysNew {
    /// What they are: `nuts`, or one of the group's sizes.
    pub what: String,
    /// How many go in.
    pub count: u32,
}

/// A group of fasteners: one joint, one bag, one tightening.
#[derive(Clone, Debug)]
pub struct Fasteners {
    /// The word drops and labels use: `G01`.
    pub group: String,
    /// For people.
    pub name: String,
    /// For these scopes; for all where empty.
    pub scopes: Vec<String>,
    /// Sizes with their counts.
    pub sizes: Vec<FastenerSize>,
    /// Grade or class; empty where the fastener has none (a spark plug).
    pub grade: String,
    /// What the threads, and the heads where it says so, are tightened with.
    pub lubricant: String,
    /// Unit of its torques.
    pub torque_unit: TorqueUnit,
    /// Torques of its stages in order, as digits.
    pub stages: Vec<String>,
    /// The same in the other unit, as the sheet prints them.
    pub other_stages: Vec<String>,
    /// Angles in degrees that follow the torques, each a stage of its own.
    pub angles: Vec<String>,
    /// Places in the order they are tightened; loosened in exactly the reverse.
    pub pattern: Vec<String>,
    /// The order in words, where places have no names.
    pub pattern_words: String,
    /// Where its bolts stand, where the sheet says it.
    pub layout: Option<Layout>,
    /// The order is the sheet's own; false for a generic one, which is printed as not the maker's.
    pub pattern_own: bool,
    /// Thrown away once tightened; never inferred from an angle.
    pub single_use: bool,
    /// What of it is always new, in words only; empty where nothing is.
    pub renewed: String,
    /// What of it is always new, and counted in: one of its sizes, or what goes with them (nuts, a washer).
    pub always_new: Vec<AlwaysNew>,
    /// A cover or gasket joint, which is tightened less.
    pub gasket_joint: bool,
    /// The metal its threads hold in.
    pub engaged_in: Option<EngagedIn>,
    /// Indices of the part kinds that cannot come off or go in without loosening these.
    pub holds: Vec<usize>,
    /// Indices of the features that are measured with these tightened.
    pub clamps: Vec<usize>,
    /// How many of its holes reach water or oil and take a sealant.
    pub wet: u32,
    /// The sheet's remark.
    pub note: String,
}

impl Fasteners {
    /// How many pieces the engine has of it, over all sizes.
    #[must_use]
    pub fn count(&self) -> u32 {
        self.sizes.iter().map(|size| size.count).sum()
    }

    /// The bolt places it names; one without a name where it names none.
    #[must_use]
    pub fn bolt_places(&self) -> Vec<&str> {
        let named: Vec<&str> = self.sizes.iter().flat_map(|size| &size.places).map(String::as_str).collect();
        if named.is_empty() { vec![""] } else { named }
    }

    /// How many stages it is tightened in, angles included. Stages count from 1.
    #[must_use]
    pub fn stage_count(&self) -> usize {
        let of_sizes = self.sizes.iter().map(|size| size.stages.len()).max().unwrap_or(0);
        self.stages.len().max(of_sizes) + self.angles.len()
    }

    /// Its sizes with how many the engine has, and behind them what is always new beside them: what is counted of it.
    pub fn counted(&self) -> impl Iterator<Item = (&str, u32)> {
        let sizes = self.sizes.iter().map(|size| (size.size.as_str(), size.count));
        sizes.chain(self.beside().map(|new| (new.what.as_str(), new.count)))
    }

    /// What is always new and is none of its sizes.
    pub fn beside(&self) -> impl Iterator<Item = &AlwaysNew> {
        self.always_new.iter().filter(|new| !self.sizes.iter().any(|size| same_name(&size.size, &new.what)))
    }

    /// Is this size of it always new?
    #[must_use]
    pub fn is_always_new(&self, size: &str) -> bool {
        self.single_use || self.always_new.iter().any(|new| same_name(&new.what, size))
    }

    /// The torques of one of its sizes, stage by stage.
    #[must_use]
    pub fn stages_of<'a>(&'a self, size: &'a FastenerSize) -> &'a [String] {
        if size.stages.is_empty() { &self.stages } else { &size.stages }
    }
}

/// One size within a group of plugs or pins.
#[derive(Clone, Debug)]
pub struct PlugSize {
    /// As the label says it.
    pub size: String,
    /// How many of them the engine has.
    pub count: u32,
    /// Torque as digits; empty where it is driven in.
    pub torque: String,
    /// The same in the other unit, as the sheet prints it.
    pub other_torque: String,
}

/// Sealing plugs or locking pins: counted out and counted in.
#[derive(Clone, Debug)]
pub struct Plugs {
    /// The word drops and labels use.
    pub group: String,
    /// For people.
    pub name: String,
    /// For these scopes; for all where empty.
    pub scopes: Vec<String>,
    /// Sizes with their counts.
    pub sizes: Vec<PlugSize>,
    /// What they are sealed with; empty for pins.
    pub sealant: String,
    /// Unit of their torques.
    pub torque_unit: TorqueUnit,
    /// Always new when they go back in.
    pub renewed: bool,
    /// Index of the part they sit in, where the sheet says it: with another piece of it they are counted in anew.
    pub sits_in: Option<usize>,
    /// The sheet's remark.
    pub note: String,
}

impl Plugs {
    /// How many the engine has, over all sizes.
    #[must_use]
    pub fn count(&self) -> u32 {
        self.sizes.iter().map(|size| size.count).sum()
    }
}
