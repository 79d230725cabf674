//! What is to be done, told from people's words, and what can hurt in it: one row a kind.
//!
//! Operations, checks and part kinds are the shop's own words, so a kind is known by the beginnings of words in them. What no
//! row knows is `Other`, which has the cautions of any work by hand.

use crate::sheets::has_word_with;
use crate::stages::cautions::hazard::Hazard;

macro_rules! kinds {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $kind:ident, [$($stem:literal),*], [$($hazard:ident),*];)+ }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $($(#[$doc])* $kind,)+
        }

        impl $name {
            /// Every kind.
            pub const ALL: &[Self] = &[$(Self::$kind,)+];

            /// What can hurt in it.
            #[must_use]
            pub const fn hazards(self) -> &'static [Hazard] {
                match self { $(Self::$kind => &[$(Hazard::$hazard,)*],)+ }
            }

            const fn stems(self) -> &'static [&'static str] {
                match self { $(Self::$kind => &[$($stem,)*],)+ }
            }

            /// Every kind that these words are about; `Other` alone where they are about none.
            #[must_use]
            pub fn all_of(words: &str) -> Vec<Self> {
                let words = plain(words);
                let is_about = |kind: &Self| kind.stems().iter().any(|stem| has_word_with(&words, stem));
                let found: Vec<Self> = Self::ALL.iter().copied().filter(is_about).collect();
                if found.is_empty() { vec![Self::Other] } else { found }
            }
        }
    };
}

/// Lower case, with single spaces between and before the words.
fn plain(words: &str) -> String {
    let words = words.to_lowercase();
    let words = words.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.fold(String::new(), |all, word| format!("{all} {word}"))
}

kinds! {
    /// Work and cleaning.
    Work {
        /// A cylinder, a housing, a line of them.
        Bore, ["bore", "boring", "rebor"], [Machine, Heavy];
        /// With stones.
        Hone, ["hon", "deglaz", "resiz"], [Machine, Eyes];
        /// On the wheel.
        Grind, ["grind", "ground", "regrind"], [Machine, SodiumValve, Eyes];
        /// With a belt or strip.
        Polish, ["polish", "lapp", "linish"], [Polishing, Eyes];
        /// A face by cutter.
        Face, ["skim", "deck", "mill", "fac", "resurfac", "planing", "machin", "turn", "lath"], [Machine, MagnesiumChips, SodiumValve, Heavy];
        /// Valve seats.
        Seat, ["seat"], [SeatDust, Eyes];
        /// Drilled, tapped, with an insert.
        Drill, ["drill", "tap", "thread", "insert", "ream", "stitch", "extract"], [SodiumValve, Eyes, Edges];
        /// Metal put on, or joined by heat.
        Weld, ["weld", "braz", "metal spray", "build up", "built up", "solder"], [Flame, SodiumValve, Eyes];
        /// With a flame or an oven, to fit or to free.
        Heat, ["heat", "torch", "shrink", "hot fit"], [Flame, HotParts, SodiumValve];
        /// Shrunk by cold.
        Freeze, ["freez", "cold", "nitrogen", "dry ice"], [ColdFit];
        /// On the press.
        Straighten, ["straight", "unbend"], [Press, Eyes];
        /// Pressed in or out.
        PressFit, ["press in", "press out", "press fit", "press pin", "press the", "pressing", "bush", "pin fit"],
            [Press, HotParts, ColdFit];
        /// A sleeve.
        Sleeve, ["sleev", "liner"], [Press, ColdFit, Machine];
        /// A valve guide.
        Guide, ["guide"], [Press, HotParts, ColdFit];
        /// Core and gallery plugs out or in.
        Plugs, ["plug"], [Eyes, Edges, HotParts];
        /// Hot caustic.
        Caustic, ["caustic", "alkalin", "hot tank", "boil", "lye"], [NotInCaustic, SodiumValve, Caustic, Waste];
        /// Hot water under pressure, in a closed cabinet.
        Spray, ["spray cabinet", "jet wash", "spray wash", "hot wash", "steam"], [NotInCaustic, Caustic, Waste];
        /// Solvent.
        Solvent, ["solvent", "paraffin", "petrol", "kerosene", "degreas", "parts wash", "thinner"], [Solvent, Waste];
        /// An oven.
        Oven, ["oven", "bak", "burn off", "burn out"], [OvenFumes, HotParts, SodiumValve];
        /// Beads, shot, grit.
        Blast, ["blast", "bead", "shot", "peen", "grit"], [Blasting, Dust, SodiumValve];
        /// By hand, with water and brush.
        Wash, ["wash", "brush", "soap", "rins", "scrape", "clean"], [Eyes, Asbestos, Waste];
        /// With air.
        Blow, ["blow", "compressed air", "dry with air", "air"], [Air];
        /// Cooler, lines, jacket.
        Flush, ["flush"], [Solvent, Waste];
        /// With particles.
        MagneticTest, ["magnet", "particle"], [NoParticles, Magnetic];
        /// For cracks, nobody said how.
        CrackTest, ["crack"], [NoParticles, Magnetic, Penetrant];
        /// With dye.
        DyeTest, ["dye", "penetrant"], [Penetrant];
        /// Under pressure.
        Pressure, ["pressure test", "pressur"], [PressureTest];
        /// Injectors and pump on a tester.
        Nozzle, ["nozzle", "inject", "pop test"], [InjectionSpray, NozzleTester];
        /// Spun up.
        Balance, ["balanc"], [Machine];
        /// Hardened, nitrided, plated.
        Harden, ["harden", "nitrid", "plat", "chrom", "coat"], [Dust, HotParts];
        /// Taken off or out.
        Strip, ["strip", "remov", "dismantl", "take off", "take out"], [Edges, Springs];
        /// Anything else.
        Other, [], [Eyes];
    }
}

kinds! {
    /// What is looked at, tried and answered.
    Look {
        /// Compression of a cylinder.
        Compression, ["compression"], [IgnitionOff, InjectionOff, TurnByHand];
        /// Air into a cylinder.
        LeakDown, ["leak down", "leakdown"], [AirInCylinder];
        /// Oil brought up without starting.
        Primed, ["prime", "priming"], [Priming, IgnitionOff, InjectionOff];
        /// It runs, or is turned by the starter, before it comes apart.
        OilPressure, ["oil pressure"], [Running, Exhaust, HotCoolant];
        /// It is started for the first time.
        FirstStart, ["first start", "start up", "starting"],
            [Runaway, StartingSpray, Running, Exhaust, Fuel, Battery, HotCoolant, InjectionSpray];
        /// It runs in.
        RunIn, ["run in", "running in", "break in run", "rpm", "dyno"], [Running, Exhaust, HotCoolant];
        /// It is looked over running.
        Leaks, ["leak"], [InjectionSpray, Running, HotCoolant];
        /// The filter after the run-in.
        Filter, ["filter"], [HotCoolant, Edges, Waste];
        /// Fuel is let in.
        FuelBled, ["fuel", "bled", "bleed"], [InjectionSpray, Fuel];
        /// Oil and coolant filled or let out.
        Fluids, ["coolant", "antifreeze", "oil type"], [HotCoolant, Waste, Battery];
        /// Turned by hand to see it turn.
        Turns, ["turn", "spin", "spun"], [ValvesMeetPistons, TurnByHand];
        /// Cam drive and its pins.
        Timing, ["timing", "safe position", "locking pin", "degree", "cam drive"],
            [ValvesMeetPistons, OverheadCam, TurnByHand];
        /// A tensioner.
        TensionerPin, ["tensioner", "belt tension"], [Tensioner, ValvesMeetPistons];
        /// Levered to and fro.
        Play, ["play", "lever", "thrust"], [TurnByHand];
        /// The ridge, and pistons pushed out.
        Ridge, ["ridge"], [Edges, Eyes];
        /// What goes into the tank.
        Tank, ["tank", "caustic"], [NotInCaustic, SodiumValve, Caustic, Waste];
        /// Galleries brushed and blown.
        Galleries, ["galler", "blown", "restrictor"], [Air, Eyes];
        /// Washed.
        Washed, ["wash", "white cloth", "clean"], [Eyes, Waste];
        /// Flushed.
        Flushed, ["flush", "cooler"], [Solvent, Waste];
        /// Holes blown empty.
        BlindHoles, ["blind"], [Air];
        /// A part straightened on the press.
        Straightened, ["straight"], [Press];
        /// Torque seen or put on.
        Torque, ["torque", "tight", "angle"], [Wrench];
        /// Springs and valves in or out.
        Valves, ["spring", "keeper", "collet"], [Springs];
        /// Rings.
        Rings, ["ring", "chamfer"], [Edges];
        /// Anything else that is looked at by eye.
        Other, [], [];
    }
}

kinds! {
    /// A part that is taken off, carried or fitted.
    Handled {
        /// Gaskets and seals.
        Gasket, ["gasket", "seal", "o ring", "packing"], [Asbestos, BurntSeals];
        /// Valve springs, with their keepers.
        Spring, ["spring", "keeper", "collet", "retainer"], [Springs];
        /// Valves.
        Valve, ["valve"], [SodiumValve, Springs];
        /// Pins and their clips.
        PistonPin, ["piston pin", "pin clip", "gudgeon", "wrist pin", "circlip"], [Tensioner, Press, HotParts];
        /// Pistons and rings.
        Piston, ["piston", "ring"], [Edges];
        /// Injectors, pump and fuel parts.
        Injection, ["inject", "nozzle", "fuel", "carburett"], [InjectionSpray, Fuel];
        /// Heavy castings and shafts.
        Heavy, ["crankshaft", "block", "head", "flywheel", "bell housing", "bedplate", "cylinder head", "gearbox"], [Heavy];
        /// What drives the cam.
        CamDrive, ["belt", "chain", "tensioner", "sprocket", "timing gear", "idler"], [ValvesMeetPistons, Tensioner];
        /// What a cam lies in, and the cam.
        Cam, ["camshaft", "cam cap", "cam carrier"], [OverheadCam];
        /// Exhaust side.
        Exhaust, ["exhaust", "turbo"], [YellowDeposits];
        /// Electric parts.
        Electric, ["starter", "alternator", "ignition", "sensor", "glow plug", "battery"], [Battery];
        /// Where coolant or oil runs out.
        Wet, ["water pump", "thermostat", "oil pan", "oil filter", "oil cooler", "radiator"], [Waste];
        /// Anything else.
        Other, [], [];
    }
}

impl Handled {
    /// What a part kind is by its name. A head gasket is a gasket, a valve spring a spring.
    #[must_use]
    pub fn of(part: &str) -> Self {
        Self::all_of(part).first().copied().unwrap_or(Self::Other)
    }
}
