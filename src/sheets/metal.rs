//! What a part is made of, as baths and crack tests ask.

/// A metal, or none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Metal {
    /// Cast iron.
    Iron,
    /// Steel, forged or rolled.
    Steel,
    /// Any alloy of it.
    Aluminium,
    /// Any alloy of it.
    Magnesium,
    /// Zinc and pot metal.
    Zinc,
    /// Bronze, brass, copper.
    CopperAlloy,
    /// Rubber, paper, plastic.
    NoMetal,
}

impl Metal {
    /// Every one.
    pub const ALL: [Self; 7] = [
        Self::Iron,
        Self::Steel,
        Self::Aluminium,
        Self::Magnesium,
        Self::Zinc,
        Self::CopperAlloy,
        Self::NoMetal,
    ];

    /// As written on sheets.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Iron => "iron",
            Self::Steel => "steel",
            Self::Aluminium => "aluminium",
            Self::Magnesium => "magnesium",
            Self::Zinc => "zinc",
            Self::CopperAlloy => "copper alloy",
            Self::NoMetal => "no metal",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|metal| metal.word() == word)
    }

    /// Magnetic particles gather at its cracks.
    #[must_use]
    pub const fn is_magnetic(self) -> bool {
        match self {
            Self::Iron | Self::Steel => true,
            Self::Aluminium | Self::Magnesium | Self::Zinc | Self::CopperAlloy | Self::NoMetal => false,
        }
    }

    /// A hot caustic bath eats it and gives off hydrogen.
    #[must_use]
    pub const fn dissolves_in_caustic(self) -> bool {
        match self {
            Self::Aluminium | Self::Magnesium | Self::Zinc => true,
            Self::Iron | Self::Steel | Self::CopperAlloy | Self::NoMetal => false,
        }
    }
}
