//! What a sheet says of the engine as a whole: its kind, its data, and what must be looked at by eye.

use crate::sheets::reads::Reads;

/// What the cylinder walls are; all but plain iron stop or change a plan to bore.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BoreSurface {
    /// Bored and honed by ordinary means.
    #[default]
    PlainIron,
    /// An iron sleeve cast into another metal.
    CastInSleeve,
    /// Coated: not bored or honed by ordinary means, no oversize.
    Coated,
    /// High-silicon alloy: not bored or honed by ordinary means, no oversize.
    HighSilicon,
    /// Wet liners, replaced or kept singly.
    WetLiner,
}

impl BoreSurface {
    const ALL: [Self; 5] =
        [Self::PlainIron, Self::CastInSleeve, Self::Coated, Self::HighSilicon, Self::WetLiner];

    /// As written on sheets and pages.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::PlainIron => "plain iron",
            Self::CastInSleeve => "cast-in sleeve",
            Self::Coated => "coated",
            Self::HighSilicon => "high-silicon",
            Self::WetLiner => "wet liner",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|surface| surface.word() == word)
    }
}

/// What an engine burns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fuel {
    /// Petrol, lit by a spark.
    Petrol,
    /// Gas, lit by a spark.
    Gas,
    /// Diesel, lit by compression.
    Diesel,
}

impl Fuel {
    pub(super) fn from_word(word: &str) -> Option<Self> {
        match word {
            "petrol" => Some(Self::Petrol),
            "gas" => Some(Self::Gas),
            "diesel" => Some(Self::Diesel),
            _ => None,
        }
    }
}

/// Where the camshafts lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cams {
    /// In the block: pushrods or side valves.
    InBlock,
    /// In the head.
    Overhead,
}

impl Cams {
    pub(super) fn from_word(word: &str) -> Option<Self> {
        match word {
            "in block" => Some(Self::InBlock),
            "overhead" => Some(Self::Overhead),
            _ => None,
        }
    }
}

/// The kind of engine, where it decides what is asked.
#[derive(Clone, Copy, Debug, Default)]
pub struct EngineKind {
    /// What the cylinder walls are.
    pub bore_surface: BoreSurface,
    /// Mains are torqued as one bedplate, not cap by cap.
    pub bedplate: bool,
    /// Bores are measured and honed with a torque plate on.
    pub torque_plate: bool,
    /// Valves meet pistons: crank and cam are not turned with the cam drive off. `None` where the sheet does not say.
    pub interference: Option<bool>,
    /// What it burns; `None` where the sheet does not say.
    pub fuel: Option<Fuel>,
    /// Where its camshafts lie; `None` where the sheet does not say.
    pub cams: Option<Cams>,
}

/// One fact for people: firing order, oil pressure, finish.
#[derive(Clone, Debug)]
pub struct Datum {
    /// What it is.
    pub name: String,
    /// What it says.
    pub value: String,
}

/// Words of the sheet for the customer's page.
#[derive(Clone, Debug, Default)]
pub struct ForCustomer {
    /// The oil to use.
    pub oil: String,
    /// The coolant to use.
    pub coolant: String,
    /// How this engine is broken in, one instruction an entry.
    pub break_in: Vec<String>,
}

/// The stage a check belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CheckStage {
    /// Before it is taken apart.
    CheckedIn,
    /// Taking apart and cleaning.
    Teardown,
    /// Looking, testing and measuring.
    Inspection,
    /// Machining and the final clean.
    Machining,
    /// Fitting and closing up.
    Reassembly,
    /// Priming, first start and delivery.
    Released,
}

impl CheckStage {
    const ALL: [Self; 6] = [
        Self::CheckedIn,
        Self::Teardown,
        Self::Inspection,
        Self::Machining,
        Self::Reassembly,
        Self::Released,
    ];

    /// As written on sheets and pages.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::CheckedIn => "checked in",
            Self::Teardown => "teardown",
            Self::Inspection => "inspection",
            Self::Machining => "machining",
            Self::Reassembly => "reassembly",
            Self::Released => "released",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| stage.word() == word)
    }
}

/// Who answers a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CheckBy {
    /// Whoever does the work.
    Bench,
    /// Somebody who looks over it.
    Checker,
    /// The owner of the shop.
    Owner,
}

impl CheckBy {
    const ALL: [Self; 3] = [Self::Bench, Self::Checker, Self::Owner];

    /// As written on sheets and pages.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bench => "bench",
            Self::Checker => "checker",
            Self::Owner => "owner",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|by| by.word() == word)
    }
}

/// Something that is looked at by eye and answered yes or no.
#[derive(Clone, Debug)]
pub struct Check {
    /// The word drops use.
    pub key: String,
    /// The stage it must be answered in.
    pub stage: CheckStage,
    /// Who answers it.
    pub by: CheckBy,
    /// For these scopes; for all where empty.
    pub scopes: Vec<String>,
    /// What is to be looked at.
    pub words: String,
    /// By another person than the one whose work it looks at.
    pub second: bool,
    /// What is in before it counts, and asks for it again when it goes in anew; `None` where the sheet does not say.
    pub after: Option<Vec<Follows>>,
    /// Due on every such engine: none is without it.
    pub always: bool,
    /// The number that is read for it.
    pub reads: Option<Reads>,
    /// It is good before the engine runs on its parts for the first time; where it was not, these part kinds (indices) are
    /// looked at. Empty where it can wait.
    pub before_start: Vec<usize>,
    /// The engine runs for it.
    pub runs: bool,
}

/// What a check looks at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follows {
    /// Index of a part kind that is fitted.
    Part(usize),
    /// Index of a fastener group that is tightened.
    Group(usize),
}
