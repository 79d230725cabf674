//! Geometry: what ties the features together, so that what a cut moves can be computed.

use crate::metrology::{Exact, Unit};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::feature::Feature;
use crate::sheets::limits::Limits;

/// What a feature is to the geometry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Cylinder bores; their positions are the cylinders.
    Bore,
    /// Chambers in the head.
    Chamber,
    /// How far the piston stands below or above the deck at top dead centre.
    PistonAtDeck,
    /// Crank centre to deck.
    DeckHeight,
    /// Face to face of the head.
    HeadThickness,
    /// Centre to centre of the rods.
    RodCentres,
    /// Housings the crank lies in.
    MainHousing,
    /// Big ends.
    RodHousing,
    /// A wall of the cylinders.
    Wall,
    /// Pushrods.
    Pushrods,
    /// Slack of the chain or belt to the cam.
    CamDrive,
    /// Installed height of the valve springs.
    SpringHeight,
    /// Free length of the valve springs.
    SpringLength,
    /// Load of the springs at the height aimed at.
    SpringLoad,
    /// How far valve stems stand above their spring seats.
    ValveTip,
    /// How far valves lie below the face of the head.
    Recession,
    /// Weight of the pistons.
    PistonWeight,
}

impl Role {
    /// Every role, in the order of the words on a fault.
    pub const ALL: [Self; 17] = [
        Self::Bore,
        Self::Chamber,
        Self::PistonAtDeck,
        Self::DeckHeight,
        Self::HeadThickness,
        Self::RodCentres,
        Self::MainHousing,
        Self::RodHousing,
        Self::Wall,
        Self::Pushrods,
        Self::CamDrive,
        Self::SpringHeight,
        Self::SpringLength,
        Self::SpringLoad,
        Self::ValveTip,
        Self::Recession,
        Self::PistonWeight,
    ];

    /// As written on sheets.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Chamber => "chamber",
            Self::PistonAtDeck => "piston at deck",
            Self::DeckHeight => "deck height",
            Self::HeadThickness => "head thickness",
            Self::RodCentres => "rod centres",
            Self::MainHousing => "main housing",
            Self::RodHousing => "rod housing",
            Self::Wall => "wall",
            Self::Pushrods => "pushrods",
            Self::CamDrive => "cam drive",
            Self::SpringHeight => "spring height",
            Self::SpringLength => "spring length",
            Self::SpringLoad => "spring load",
            Self::ValveTip => "valve tip",
            Self::Recession => "recession",
            Self::PistonWeight => "piston weight",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.word() == word)
    }

    /// What the sheet judges of such a feature: one of these.
    #[must_use]
    pub const fn judged(self) -> &'static [Characteristic] {
        match self {
            Self::Bore | Self::MainHousing | Self::RodHousing => &[Characteristic::Size],
            Self::Chamber => &[Characteristic::Volume],
            Self::PistonAtDeck => &[Characteristic::Depth, Characteristic::Protrusion],
            Self::DeckHeight | Self::SpringHeight | Self::ValveTip => &[Characteristic::Height],
            Self::HeadThickness | Self::Wall => &[Characteristic::Thickness],
            Self::RodCentres | Self::Pushrods | Self::SpringLength => &[Characteristic::Length],
            Self::CamDrive => &[Characteristic::Deflection],
            Self::SpringLoad => &[Characteristic::Load],
            Self::Recession => &[Characteristic::Depth],
            Self::PistonWeight => &[Characteristic::Spread],
        }
    }

    /// Several features may have it.
    pub(super) const fn is_shared(self) -> bool {
        matches!(self, Self::Wall)
    }

    /// It is read cylinder by cylinder.
    pub(super) const fn is_by_cylinder(self) -> bool {
        matches!(self, Self::Chamber | Self::PistonAtDeck | Self::RodCentres | Self::RodHousing | Self::Wall)
    }
}

/// What ties the features together.
#[derive(Clone, Debug)]
pub struct Geometry {
    /// Full stroke.
    pub stroke: Exact,
    /// Which feature is what, by index.
    pub features: Vec<(Role, usize)>,
    /// Chamber's area at the gasket face, cm2.
    pub footprint: Option<Exact>,
    /// The head gasket the printed ratio is of.
    pub head_gasket: Option<HeadGasket>,
    /// Dish of the piston, cc; below zero of a dome.
    pub dish: Exact,
    /// Recess in the head that is no measured chamber, cc.
    pub recess: Exact,
    /// Compression ratio as printed.
    pub ratio: Option<String>,
    /// Displacement as printed, cc.
    pub displacement: Option<String>,
    /// How the valves are driven.
    pub valve_gear: Option<ValveGear>,
    /// Valve springs.
    pub springs: Option<Springs>,
    /// Valves of a cylinder.
    pub valves: Vec<Valve>,
    /// Least distance from piston to head.
    pub least_squish: Option<Exact>,
    /// Of a vee: times what the heads come down, what comes off the manifold's faces.
    pub manifold_factor: Option<Exact>,
    /// Of each deck, positions of its bores by index; empty where one deck has them all.
    pub banks: Vec<Bank>,
}

/// A head gasket.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeadGasket {
    /// Compressed.
    pub thickness: Exact,
    /// Across its hole.
    pub hole: Exact,
}

/// How the valves are driven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValveGear {
    /// The cam lies in the block.
    Pushrods,
    /// The cam lies on the head.
    OverheadCam {
        /// Pitch radius of the sprocket on the cam.
        radius: Option<Exact>,
        /// Between the driving run and the way the head moves, degrees.
        angle: Exact,
    },
}

/// Valve springs.
#[derive(Clone, Debug)]
pub struct Springs {
    /// lbf an inch on an inch sheet, N a millimetre on a millimetre sheet.
    pub rate: Exact,
    /// Coil on coil.
    pub solid: Exact,
    /// What can be laid under them, thinnest first.
    pub shims: Vec<Exact>,
}

/// A valve of each cylinder.
#[derive(Clone, Debug)]
pub struct Valve {
    /// Its name: `intake`.
    pub name: String,
    /// Index of the feature of its seat.
    pub seat: usize,
    /// Gross lift.
    pub lift: Option<Exact>,
}

/// A row of cylinders.
#[derive(Clone, Debug)]
pub struct Bank {
    /// Position of its deck and of its head.
    pub name: String,
    /// Its bores.
    pub cylinders: Vec<usize>,
}

impl Geometry {
    /// Index of the feature that has this role.
    #[must_use]
    pub fn of(&self, role: Role) -> Option<usize> {
        self.all(role).next()
    }

    /// Indices of every feature that has it.
    pub fn all(&self, role: Role) -> impl Iterator<Item = usize> {
        self.features.iter().filter(move |(of, _)| *of == role).map(|(_, index)| *index)
    }
}

/// What a feature is aimed at: as its row says, else the middle of its new limits.
#[must_use]
pub fn nominal(feature: &Feature, characteristics: &[Characteristic]) -> Option<Exact> {
    let row = characteristics.iter().find_map(|c| feature.row(*c))?;
    let middle = |new: Limits| Some((new.min? + new.max?).part(1, 2));
    row.nominal.or_else(|| row.new.and_then(middle))
}

impl Geometry {
    /// How far below the deck the piston is aimed at; below zero where it stands above.
    #[must_use]
    pub fn below_deck(feature: &Feature) -> Option<Exact> {
        let aimed = nominal(feature, Role::PistonAtDeck.judged())?;
        Some(if Self::is_proud(feature) { -aimed } else { aimed })
    }

    /// Is the piston read by how far it stands above the deck?
    #[must_use]
    pub fn is_proud(feature: &Feature) -> bool {
        feature.row(Characteristic::Protrusion).is_some()
    }
}

impl Springs {
    /// Load of a spring of this free length at this height, and its unit: lbf on an inch sheet, N on a millimetre sheet.
    #[must_use]
    pub fn load(&self, free: Exact, height: Exact, sheet: Unit) -> (Exact, Unit) {
        let pressed = (free - height).times(self.rate);
        let (inches, millimetres) = ((pressed.part(10, 254), Unit::PoundForce), (pressed, Unit::Newton));
        sheet.of_length(inches, millimetres).unwrap_or(millimetres)
    }
}
