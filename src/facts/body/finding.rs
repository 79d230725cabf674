//! `finding`: what was seen on a part, tested on it, or left open and closed.

use crate::facts::Digits;
use crate::facts::picture::Picture;
use crate::facts::words::words;
use serde::Deserialize;

/// What was seen, what was tried on problems, and a problem that is closed; at least one of them.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Finding {
    /// One entry each.
    #[serde(default)]
    pub findings: Vec<Seen>,
    /// Pictures themselves.
    #[serde(default)]
    pub embedded: Vec<Embedded>,
    /// What was tried on problems that stay open.
    #[serde(default)]
    pub tries: Vec<Try>,
    /// A problem that is closed.
    #[serde(default)]
    pub closes: Option<Closes>,
}

/// One finding.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Seen {
    /// The part kind, as typed.
    pub part: String,
    /// Its positions, as typed; every one where left out.
    #[serde(default)]
    pub positions: Vec<Digits>,
    /// Where on it.
    #[serde(default)]
    pub r#where: String,
    /// What was seen.
    pub defect: Defect,
    /// 0 nothing found to 5 stops the job.
    pub severity: u8,
    /// In words.
    #[serde(default)]
    pub note: String,
    /// Names of pictures.
    #[serde(default)]
    pub pictures: Vec<String>,
    /// What is suggested.
    #[serde(default)]
    pub disposition: Option<DispositionWord>,
    /// A test and its result.
    #[serde(default)]
    pub test: Option<Test>,
    /// Opens a problem.
    #[serde(default)]
    pub problem: Option<String>,
    /// What or whom that waits on.
    #[serde(default)]
    pub waits_on: Option<String>,
    /// How deep a score is.
    #[serde(default)]
    pub score: Option<ScoreBody>,
}

/// How deep a score is, and where it lies.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct ScoreBody {
    /// The feature, as typed.
    pub feature: String,
    /// Its position, as typed; may be left out where the feature has one.
    #[serde(default)]
    pub position: Option<Digits>,
    /// The plane or level.
    #[serde(default)]
    pub station: Option<String>,
    /// The direction.
    #[serde(default)]
    pub direction: Option<String>,
    /// `in` or `mm`.
    #[serde(rename = "unit")]
    pub unit_symbol: String,
    /// Below the wall beside it.
    pub depth: Digits,
    /// Plus or minus this.
    #[serde(default)]
    pub within: Option<Digits>,
}

/// A crack, pressure or other test.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Test {
    /// What test.
    pub kind: TestKind,
    /// Its result.
    pub result: TestResult,
    /// Pressure, time, method.
    #[serde(default)]
    pub how: String,
}

/// A picture in the drop itself.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Embedded {
    /// What it is called.
    pub name: String,
    /// Its bytes in base 64; let go once they are read, since the drop has them.
    pub data: String,
    /// The picture. Filled in by decoding.
    #[serde(skip)]
    pub picture: Option<Picture>,
}

/// What was tried on a problem.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Try {
    /// The drop that opened it.
    pub drop: String,
    /// Which finding of that drop, from 1; all its problems where left out.
    #[serde(default)]
    pub item: Option<usize>,
    /// What was tried, and what came of it.
    pub what: String,
    /// What or whom it waits on now; nothing where left out.
    #[serde(default)]
    pub waits_on: Option<String>,
}

/// A problem that is closed.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Closes {
    /// The drop that opened it.
    pub drop: String,
    /// Which finding of that drop, from 1; all its problems where left out.
    #[serde(default)]
    pub item: Option<usize>,
    /// What was done.
    pub how: String,
}

words! {
    /// Defect words, one meaning each (trade notes C1).
    Defect {
        /// Looked at, nothing found.
        NothingFound = "nothing found",
        /// Roughened or shiny worn area.
        Abrasion = "abrasion",
        /// Narrow shallow mark.
        Scratch = "scratch",
        /// Deep scratches in the running direction.
        Scoring = "scoring",
        /// Smooth rounded furrow.
        Grooving = "grooving",
        /// Metal torn and transferred.
        Galling = "galling",
        /// Small ragged craters.
        Pitting = "pitting",
        /// Pieces of the surface layer come away.
        Spalling = "spalling",
        /// Dents and powder where nothing should move.
        Fretting = "fretting",
        /// Dents from impact or static load.
        Brinelling = "brinelling",
        /// Surface battered.
        Peening = "peening",
        /// Metal carried away by flow.
        Erosion = "erosion",
        /// Chemical attack.
        Corrosion = "corrosion",
        /// Colour or fine cracks from heat.
        Burning = "burning",
        /// Partial separation.
        Crack = "crack",
        /// Separated.
        Break = "break",
        /// Out of shape.
        Bent = "bent",
        /// Fastener longer or thinner.
        Stretched = "stretched",
        /// A named wear shape.
        Worn = "worn",
        /// Thread failure.
        DamagedThread = "damaged thread",
        /// Will not come apart or move.
        Seized = "seized",
        /// Sludge, varnish, carbon, scale.
        Deposits = "deposits",
        /// Passage closed.
        Blocked = "blocked",
        /// Moved in its seat.
        Loose = "loose",
        /// Passes fluid.
        Leaking = "leaking",
        /// Magnetised, hard spot, soft.
        MaterialState = "material state",
        /// Sleeve, weld, insert, undersize already there.
        PreviousRepair = "previous repair",
        /// Does not belong.
        WrongPart = "wrong part",
        /// Not received.
        Missing = "missing",
    }
}

words! {
    /// What becomes of a part (trade notes C1).
    DispositionWord {
        /// Goes back where it was.
        ReuseSamePosition = "reuse same position",
        /// Goes back anywhere.
        ReuseAnyPosition = "reuse any position",
        /// Cleaned only.
        Clean = "clean",
        /// Repaired.
        Repair = "repair",
        /// Machined.
        Machine = "machine",
        /// Replaced.
        Replace = "replace",
        /// Replaced with its fellows.
        ReplaceAsSet = "replace as a set",
        /// Sent out.
        SendOut = "send out",
        /// Scrapped.
        Scrap = "scrap",
        /// The owner decides.
        HoldForOwner = "hold for owner",
        /// Left open by name.
        OpenProblem = "open problem",
    }
}

impl DispositionWord {
    /// Somebody works on the part by it.
    #[must_use]
    pub const fn asks_for_work(self) -> bool {
        match self {
            Self::Repair | Self::Machine | Self::SendOut => true,
            Self::ReuseSamePosition
            | Self::ReuseAnyPosition
            | Self::Clean
            | Self::Replace
            | Self::ReplaceAsSet
            | Self::Scrap
            | Self::HoldForOwner
            | Self::OpenProblem => false,
        }
    }

    /// The part is thrown away or makes room for another.
    #[must_use]
    pub const fn gives_up(self) -> bool {
        match self {
            Self::Replace | Self::ReplaceAsSet | Self::Scrap => true,
            Self::ReuseSamePosition
            | Self::ReuseAnyPosition
            | Self::Clean
            | Self::Repair
            | Self::Machine
            | Self::SendOut
            | Self::HoldForOwner
            | Self::OpenProblem => false,
        }
    }
}

words! {
    /// Tests of a part.
    TestKind {
        /// Iron and steel.
        MagneticParticle = "magnetic particle",
        /// Aluminium.
        DyePenetrant = "dye penetrant",
        /// Water or air under pressure.
        PressureTest = "pressure test",
        /// Walls.
        Ultrasonic = "ultrasonic",
        /// After overheating.
        Hardness = "hardness",
    }
}

impl TestKind {
    /// Does it look for cracks?
    #[must_use]
    pub const fn finds_cracks(self) -> bool {
        matches!(self, Self::MagneticParticle | Self::DyePenetrant | Self::Ultrasonic)
    }
}

words! {
    /// The result of a test.
    TestResult {
        /// Good.
        Passed = "passed",
        /// Not good.
        Failed = "failed",
    }
}
