//! `hardware`: a bag of fasteners or plugs, counted, and what became of the pieces.

use crate::facts::words::words;
use serde::Deserialize;

/// Pieces of a group, counted anew.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Hardware {
    /// A fastener, plug or pin group of the sheet, as typed.
    pub group: String,
    /// The bag's label.
    #[serde(default)]
    pub bag: String,
    /// Where it lies.
    #[serde(default)]
    pub place: String,
    /// What these pieces are.
    pub state: PieceState,
    /// How many of each size.
    pub pieces: Vec<Pieces>,
    /// Condition of the threads.
    #[serde(default)]
    pub thread: String,
    /// Grade mark on the heads.
    #[serde(default)]
    pub grade: String,
    /// Why they are scrapped, spare, lost or broken.
    #[serde(default)]
    pub why: String,
}

/// How many of one size.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Pieces {
    /// The size as the sheet writes it; may be left out where the group has one.
    #[serde(default)]
    pub size: Option<String>,
    /// How many.
    pub count: u32,
    /// Label of the bag of this size, where it has one of its own.
    #[serde(default)]
    pub bag: String,
    /// Where these lie, where that is elsewhere.
    #[serde(default)]
    pub place: String,
    /// Condition of the threads of this size.
    #[serde(default)]
    pub thread: String,
    /// Grade mark on the heads of this size.
    #[serde(default)]
    pub grade: String,
    /// What is the matter with some of them.
    #[serde(default)]
    pub trouble: Option<PieceTrouble>,
    /// With how many.
    #[serde(default)]
    pub troubled: u32,
}

words! {
    /// What can be the matter with a piece that came out whole: it does not go back in.
    PieceTrouble {
        /// Its thread is torn out.
        Stripped = "stripped",
        /// Longer than it was, or drawn thin.
        Stretched = "stretched",
        /// Not straight.
        Bent = "bent",
        /// Its thread or face is torn up.
        Galled = "galled",
        /// Eaten by rust.
        Rusted = "rusted",
        /// Not of the grade the sheet asks for.
        OtherGrade = "of another grade",
    }
}

words! {
    /// What became of pieces. Counts are absolute: the latest recorded of a size and state stands.
    PieceState {
        /// Came out.
        Bagged = "bagged",
        /// Back in.
        Used = "used",
        /// Replaced by new ones, which are in.
        Replaced = "replaced",
        /// Thrown away without a new one.
        Scrapped = "scrapped",
        /// Left over, and why.
        Spare = "spare",
        /// Not to be found.
        Lost = "lost",
        /// Came out in pieces.
        Broken = "broken",
    }
}

impl PieceState {
    /// Must it be said why?
    #[must_use]
    pub const fn needs_why(self) -> bool {
        match self {
            Self::Bagged | Self::Used | Self::Replaced => false,
            Self::Scrapped | Self::Spare | Self::Lost | Self::Broken => true,
        }
    }
}
