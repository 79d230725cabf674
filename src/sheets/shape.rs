//! The words of a sheet for which way wear goes.

use crate::sheets::limits::Side;

/// Which way wear goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shape {
    /// An outside diameter: wear makes it smaller.
    Shaft,
    /// An inside diameter: wear makes it larger.
    Bore,
    /// A thickness between a bore and a shaft: wear makes it smaller.
    Wall,
    /// No diameter; wear makes it larger: a gap, a play, a run-out.
    Grows,
    /// No diameter; wear makes it smaller: a length, a lift, a margin.
    Shrinks,
    /// No diameter; wear may go either way, or nowhere: a height, a lash, a volume, a weight.
    Either,
}

impl Shape {
    /// Every shape.
    pub const ALL: [Self; 6] =
        [Self::Shaft, Self::Bore, Self::Wall, Self::Grows, Self::Shrinks, Self::Either];

    /// As written on sheets.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Shaft => "shaft",
            Self::Bore => "bore",
            Self::Wall => "wall",
            Self::Grows => "grows",
            Self::Shrinks => "shrinks",
            Self::Either => "either",
        }
    }

    /// From the word on a sheet.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|shape| shape.word() == word)
    }

    /// The side wear goes to; `None` where it has none.
    #[must_use]
    pub const fn worn(self) -> Option<Side> {
        match self {
            Self::Shaft | Self::Wall | Self::Shrinks => Some(Side::Below),
            Self::Bore | Self::Grows => Some(Side::Above),
            Self::Either => None,
        }
    }
}
