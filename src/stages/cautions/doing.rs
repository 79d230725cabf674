//! The one table from what is to be done to what can hurt in it. Every match names every variant, so that a new operation,
//! test, event, reading or rule asks for its caution before it compiles.

use crate::facts::{PartEvent, TestKind, Trouble};
use crate::sheets::{Characteristic, RemedyKind};
use crate::stages::cautions::hazard::Hazard;
use crate::stages::cautions::kinds::{Handled, Look, Work};

/// Something that is to be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Doing {
    /// The engine is taken in, or given out.
    Carrying,
    /// It is put on the stand.
    Mounting,
    /// It is turned over on the stand, to get at the other side.
    Turning,
    /// Bolts are loosened or tightened.
    Tightening,
    /// Something happens to a part.
    Event(PartEvent),
    /// A part of a kind is taken off or fitted.
    Part(Handled),
    /// Work or cleaning.
    Work(Work),
    /// Work whose words say nothing, by what it does for a surface.
    Remedy(RemedyKind),
    /// A test.
    Test(TestKind),
    /// Something is read.
    Reading(Characteristic),
    /// Something is looked at or tried.
    Look(Look),
    /// Something is wrong with a part and is to be got over.
    Trouble(Trouble),
}

impl Doing {
    /// What can hurt in it; empty where nothing does.
    #[must_use]
    pub const fn hazards(self) -> &'static [Hazard] {
        match self {
            Self::Carrying => &[Hazard::Lifting, Hazard::Heavy, Hazard::Fuel, Hazard::Battery],
            Self::Mounting => &[Hazard::Lifting, Hazard::StandBolts, Hazard::Battery, Hazard::Waste],
            Self::Turning => &[Hazard::TurningOver],
            Self::Tightening => &[Hazard::Wrench],
            Self::Event(event) => of_event(event),
            Self::Part(part) => part.hazards(),
            Self::Work(work) => work.hazards(),
            Self::Remedy(remedy) => of_remedy(remedy),
            Self::Test(test) => of_test(test),
            Self::Reading(what) => of_reading(what),
            Self::Look(look) => look.hazards(),
            Self::Trouble(trouble) => of_trouble(trouble),
        }
    }
}

const fn of_event(event: PartEvent) -> &'static [Hazard] {
    match event {
        PartEvent::Off => &[Hazard::TurningOver, Hazard::Edges, Hazard::BurntSeals, Hazard::Asbestos],
        PartEvent::IntoBath => {
            &[Hazard::NotInCaustic, Hazard::SodiumValve, Hazard::Caustic, Hazard::Solvent, Hazard::Waste]
        }
        PartEvent::OutOfBath => &[Hazard::Caustic, Hazard::Air, Hazard::Waste],
        PartEvent::Cleaned => &[
            Hazard::NotInCaustic,
            Hazard::SodiumValve,
            Hazard::Caustic,
            Hazard::Solvent,
            Hazard::Air,
            Hazard::Dust,
        ],
        PartEvent::Fitted => &[Hazard::TurningOver],
        PartEvent::Scrapped => &[Hazard::SodiumValve, Hazard::Waste],
        // Whatever is heavy is said of the part itself; the others are words on paper.
        PartEvent::Moved | PartEvent::Missing | PartEvent::Replaced | PartEvent::StampRead => &[],
    }
}

const fn of_remedy(remedy: RemedyKind) -> &'static [Hazard] {
    match remedy {
        RemedyKind::ToSize | RemedyKind::Restore => &[Hazard::Machine, Hazard::Eyes],
        RemedyKind::Cut => &[Hazard::Machine, Hazard::MagnesiumChips, Hazard::Heavy],
        RemedyKind::Sleeve => &[Hazard::Press, Hazard::ColdFit, Hazard::Machine],
        RemedyKind::BuildUp => &[Hazard::Flame, Hazard::SodiumValve, Hazard::Eyes],
        RemedyKind::Straighten => &[Hazard::Press, Hazard::Eyes],
        RemedyKind::Dress => &[Hazard::Eyes],
    }
}

const fn of_test(test: TestKind) -> &'static [Hazard] {
    match test {
        TestKind::MagneticParticle => &[Hazard::NoParticles, Hazard::Magnetic],
        TestKind::DyePenetrant => &[Hazard::Penetrant],
        TestKind::PressureTest => &[Hazard::PressureTest],
        // A probe with gel, and a ball pressed into a face.
        TestKind::Ultrasonic | TestKind::Hardness => &[],
    }
}

const fn of_trouble(trouble: Trouble) -> &'static [Hazard] {
    match trouble {
        Trouble::Seized => &[Hazard::Flame, Hazard::HotParts, Hazard::Eyes, Hazard::SodiumValve],
        Trouble::Broken | Trouble::Stripped => &[Hazard::Eyes, Hazard::Edges],
        Trouble::Doubtful => &[],
    }
}

const fn of_reading(what: Characteristic) -> &'static [Hazard] {
    match what {
        Characteristic::Load | Characteristic::Rate => &[Hazard::Springs],
        Characteristic::Leakage => &[Hazard::AirInCylinder],
        Characteristic::Pressure | Characteristic::LowestOfHighest => {
            &[Hazard::IgnitionOff, Hazard::InjectionOff, Hazard::Running]
        }
        // The engine is turned by hand under the indicator.
        Characteristic::Lift
        | Characteristic::Lash
        | Characteristic::Ratio
        | Characteristic::BaseCircle
        | Characteristic::Duration
        | Characteristic::Centreline
        | Characteristic::Advance
        | Characteristic::TopDeadCentre
        | Characteristic::Backlash
        | Characteristic::Deflection
        | Characteristic::Protrusion
        | Characteristic::Depth => &[Hazard::ValvesMeetPistons, Hazard::TurnByHand],
        Characteristic::Weight => &[Hazard::Heavy],
        Characteristic::Crush | Characteristic::StripClearance => &[Hazard::Wrench],
        // A gauge on a part that lies still.
        Characteristic::Size
        | Characteristic::Roundness
        | Characteristic::OutOfRound
        | Characteristic::Taper
        | Characteristic::Wear
        | Characteristic::Clearance
        | Characteristic::Interference
        | Characteristic::EndPlay
        | Characteristic::SideClearance
        | Characteristic::EndGap
        | Characteristic::RunOut
        | Characteristic::Flatness
        | Characteristic::FlatnessPerLength
        | Characteristic::Alignment
        | Characteristic::Bend
        | Characteristic::Squareness
        | Characteristic::Length
        | Characteristic::Width
        | Characteristic::Height
        | Characteristic::Thickness
        | Characteristic::Margin
        | Characteristic::Volume
        | Characteristic::Spread
        | Characteristic::Roughness
        | Characteristic::Radius
        | Characteristic::Twist
        | Characteristic::Wobble
        | Characteristic::CrossHatch
        | Characteristic::Unevenness
        | Characteristic::BellMouth
        | Characteristic::SpreadPercent
        | Characteristic::Step
        | Characteristic::NeighbourRunOut
        | Characteristic::Removed => &[],
    }
}
