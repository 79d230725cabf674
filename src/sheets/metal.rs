//! What a part is made of, as baths and crack tests ask.

use crate::metrology::Expansion;

/// A metal, or none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Metal {
    /// Cast iron.
    Iron,
    /// Steel, forged or rolled, that a magnet holds.
    Steel,
    /// Stainless steel that a magnet does not hold (austenitic): exhaust valves.
    Stainless,
    /// Titanium.
    Titanium,
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
    pub const ALL: [Self; 9] = [
        Self::Iron,
        Self::Steel,
        Self::Stainless,
        Self::Titanium,
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
            Self::Stainless => "stainless",
            Self::Titanium => "titanium",
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
            Self::Stainless
            | Self::Titanium
            | Self::Aluminium
            | Self::Magnesium
            | Self::Zinc
            | Self::CopperAlloy
            | Self::NoMetal => false,
        }
    }

    /// A hot caustic bath eats it and gives off hydrogen.
    #[must_use]
    pub const fn dissolves_in_caustic(self) -> bool {
        match self {
            Self::Aluminium | Self::Magnesium | Self::Zinc => true,
            Self::Iron
            | Self::Steel
            | Self::Stainless
            | Self::Titanium
            | Self::CopperAlloy
            | Self::NoMetal => false,
        }
    }

    /// What the name of a material says it is; `None` where it does not, as "steel" says nothing of a magnet. Austenitic steel is
    /// told by how it grows: 15 to 18 ppm a degree, where other steel grows by 10 to 13 (handbook values, recalled).
    pub(super) fn of_name(name: &str, expansion: Expansion) -> Option<Self> {
        const BEGINNINGS: [(&str, Metal); 4] = [
            ("stainless", Metal::Stainless),
            ("austenit", Metal::Stainless),
            ("titan", Metal::Titanium),
            ("magnesium", Metal::Magnesium),
        ];
        let name = name.to_lowercase();
        let told = BEGINNINGS.iter().find(|(word, _)| name.contains(word)).map(|(_, metal)| *metal);
        let austenitic = name.contains("steel") && expansion.0 >= 15_000;
        told.or(austenitic.then_some(Self::Stainless))
    }
}
