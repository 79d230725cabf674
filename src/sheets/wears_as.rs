//! What a feature is to the general wear rules, for engines whose maker's service limits nobody has.

use crate::sheets::shape::Shape;

/// A thing that the general wear rules know.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WearsAs {
    /// A bore that rings run in.
    CylinderBore,
    /// A skirt above the pin.
    PistonSkirt,
    /// A piston pin.
    PistonPin,
    /// A pin bore of a piston or a rod.
    PinBore,
    /// A main or rod journal.
    Journal,
    /// End play of a crankshaft.
    CrankEndPlay,
    /// A journal of a camshaft.
    CamJournal,
    /// What a cam journal turns in.
    CamBush,
    /// End play of a camshaft.
    CamEndPlay,
    /// The stem of a valve.
    ValveStem,
    /// The guide of a valve.
    ValveGuide,
    /// The width of a valve seat.
    ValveSeat,
}

impl WearsAs {
    /// Every one.
    pub const ALL: [Self; 12] = [
        Self::CylinderBore,
        Self::PistonSkirt,
        Self::PistonPin,
        Self::PinBore,
        Self::Journal,
        Self::CrankEndPlay,
        Self::CamJournal,
        Self::CamBush,
        Self::CamEndPlay,
        Self::ValveStem,
        Self::ValveGuide,
        Self::ValveSeat,
    ];

    /// As written on sheets.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CylinderBore => "cylinder bore",
            Self::PistonSkirt => "piston skirt",
            Self::PistonPin => "piston pin",
            Self::PinBore => "pin bore",
            Self::Journal => "journal",
            Self::CrankEndPlay => "crankshaft end play",
            Self::CamJournal => "cam journal",
            Self::CamBush => "cam bush",
            Self::CamEndPlay => "cam end play",
            Self::ValveStem => "valve stem",
            Self::ValveGuide => "valve guide",
            Self::ValveSeat => "valve seat width",
        }
    }

    /// From the word on a sheet.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|wears| wears.word() == word)
    }

    /// The shape such a thing has.
    #[must_use]
    pub const fn shape(self) -> Shape {
        match self {
            Self::CylinderBore | Self::PinBore | Self::CamBush | Self::ValveGuide => Shape::Bore,
            Self::PistonSkirt | Self::PistonPin | Self::Journal | Self::CamJournal | Self::ValveStem => {
                Shape::Shaft
            }
            Self::CrankEndPlay | Self::CamEndPlay | Self::ValveSeat => Shape::Grows,
        }
    }
}
