//! What can hurt, and how not to be hurt: one short sentence each, in our own words, after the cautions of the trade notes
//! (section G).

/// What an engine or a part must be for a caution to concern it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Only {
    /// Any.
    Always,
    /// Lit by a spark.
    Spark,
    /// A diesel.
    Diesel,
    /// Valves meet pistons.
    Interference,
    /// Cams in the head.
    OverheadCams,
    /// Parts that a caustic bath dissolves.
    DissolvesInCaustic,
    /// Magnesium parts.
    Magnesium,
    /// Parts that are not magnetic.
    NotMagnetic,
    /// Parts that are.
    Magnetic,
    /// Valves with sodium in the stem.
    Sodium,
}

macro_rules! hazards {
    ($($(#[$doc:meta])* $name:ident, $only:ident, $title:literal, $words:literal;)+) => {
        /// Something that hurts.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Hazard {
            $($(#[$doc])* $name,)+
        }

        impl Hazard {
            /// Every one, in the order they are shown.
            pub const ALL: &[Self] = &[$(Self::$name,)+];

            /// In a word or two.
            #[must_use]
            pub const fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)+ }
            }

            /// How not to be hurt.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $(Self::$name => $words,)+ }
            }

            pub(super) const fn only(self) -> Only {
                match self { $(Self::$name => Only::$only,)+ }
            }
        }
    };
}

hazards! {
    /// Crank and cam with the cam drive off.
    ValvesMeetPistons, Interference, "Valves meet pistons",
        "with the cam drive off neither crank nor cam is turned, but at the safe position.";
    /// Cams that springs push.
    OverheadCam, OverheadCams, "Overhead cam",
        "its caps are loosened and tightened evenly, a little at a time: the springs push, and a cap or the shaft breaks.";
    /// An aluminium part in the tank.
    NotInCaustic, DissolvesInCaustic, "Never in the hot caustic tank",
        "it dissolves there and gives off hydrogen.";
    /// Particles on what is not magnetic.
    NoParticles, NotMagnetic, "No magnetic particle test", "they show nothing there; use dye penetrant.";
    /// A sodium-filled valve.
    SodiumValve, Sodium, "Sodium in the stem",
        "never cut, ground into, welded, heated or put in a tank; an old one goes to a waste contractor, not into the scrap bin.";
    /// Magnesium chips.
    MagnesiumChips, Magnesium, "Magnesium", "its chips burn: a class D extinguisher at hand, never water.";
    /// A diesel that runs away.
    Runaway, Diesel, "Runaway",
        "before the first start somebody stands at the intake with a plate to shut it: it can run on its own oil, key off or not.";
    /// Starting spray.
    StartingSpray, Diesel, "Starting spray", "none where there are glow plugs or an intake heater.";
    /// Fuel under injection pressure.
    InjectionSpray, Diesel, "Injection spray",
        "it goes through skin: no hand near a nozzle, pipe or leak under pressure; to hospital at once, however small it looks.";
    /// A nozzle on the tester.
    NozzleTester, Diesel, "Nozzle tester", "behind a shield, with glasses, no flame near the mist.";
    /// Injection during a compression test.
    InjectionOff, Diesel, "Injection off", "no fuel is delivered while the starter turns it with a gauge in.";
    /// Ignition during a compression test.
    IgnitionOff, Spark, "Ignition and fuel off", "both, before the starter turns it with a gauge in.";
    /// A hoist, a sling.
    Lifting, Always, "Lifting", "hoist, slings and stand carry more than the whole engine weighs; nobody under the load.";
    /// The stand's bolts.
    StandBolts, Always, "Stand bolts",
        "grade 8 or class 10.9, not bottomed, in by one diameter in iron or steel, by two in aluminium; wheels locked.";
    /// An engine that is heavier on one end.
    TurningOver, Always, "Turning it over", "one end is heavier: slowly, hands out of the gaps.";
    /// Heavy parts.
    Heavy, Always, "Heavy parts", "two people, or the hoist.";
    /// Compressed valve springs.
    Springs, Always, "Compressed springs",
        "they leave like a shot: goggles, compressor well seated, keepers held, face aside; a pitted one can break.";
    /// Things that a spring loads.
    Tensioner, Always, "Tensioner and clips", "loaded springs: pinned or held, glasses on, fingers out.";
    /// Fingers in what turns by hand.
    TurnByHand, Always, "Turning by hand", "fingers out of chain, belt, gears and bores; say it before you turn it.";
    /// Sharp edges.
    Edges, Always, "Edges and chips", "rings, ridges and cut faces cut skin: glasses, and no bare finger in chips.";
    /// A press.
    Press, Always, "Press", "guard shut; what is brittle can shatter.";
    /// Parts out of an oven.
    HotParts, Always, "Hot parts", "a rod or casting from the oven burns and does not look hot: mark it, thick gloves.";
    /// Dry ice, liquid nitrogen.
    ColdFit, Always, "Cold fits",
        "dry ice and liquid nitrogen freeze skin and use up the air: gloves, face shield, open door, never a closed vessel.";
    /// Flame and weld.
    Flame, Always, "Flame and welding",
        "fuel, oil and solvent away; nothing sealed; nothing fresh from a chlorinated cleaner, whose vapour turns to poison gas; \
         somebody watches for fire afterwards.";
    /// Seals that were too hot.
    BurntSeals, Always, "Burnt seals",
        "black sticky remains can hold hydrofluoric acid: no bare hands; neutralise, and to a doctor at once.";
    /// Old gaskets.
    Asbestos, Always, "Old gaskets and linings",
        "they may hold asbestos: never scraped dry, ground or blown; wetted, bagged, and as the local law says.";
    /// Hot caustic.
    Caustic, Always, "Hot caustic",
        "face shield, gloves, apron; caustic goes into water, never water onto caustic; know the eye wash.";
    /// Solvent.
    Solvent, Always, "Solvent",
        "no flame, spark or heater near; earthed cans with lids, gloves, fresh air, rags into a closed metal can; data sheet read.";
    /// An oven.
    OvenFumes, Always, "Oven", "plating and paint give off zinc, cadmium and lead: extraction on; nothing sealed goes in.";
    /// Blasting.
    Blasting, Always, "Blasting", "cabinet shut, the dust kept out of lungs; no grain is left in a gallery.";
    /// Compressed air.
    Air, Always, "Compressed air", "under 30 psi (2 bar) at a closed end, chip guard and glasses; never at skin or clothes.";
    /// Dust of lead, chrome, nickel.
    Dust, Always, "Dust", "lead, chrome and nickel dust is swept wet, with a mask.";
    /// Yellow deposits.
    YellowDeposits, Always, "Yellow deposits", "on hot exhaust parts they can hold chrome: worked wet only, with a mask.";
    /// Waste.
    Waste, Always, "Waste",
        "oil, coolant, solvent, filters, sludge and rinse each in its own labelled can for the hauler; none down the drain.";
    /// Eyes, ears, hands.
    Eyes, Always, "Eyes, ears, hands", "glasses always, a shield when grinding, ears covered, no gloves near what spins.";
    /// Machine tools.
    Machine, Always, "Machine tools",
        "guards on, work clamped, nothing loose on you, chips by brush; mist and casting dust drawn off.";
    /// Copper-beryllium seats.
    SeatDust, Always, "Seats", "copper-beryllium is never ground dry: its dust is poison.";
    /// A belt on a journal.
    Polishing, Always, "Polishing", "no gloves, rings or cloth round a finger, hair tied; the strip held at both ends, never round the hand.";
    /// Magnetic particles.
    Magnetic, Magnetic, "Magnetic particle test",
        "people with pacemakers keep away; UV glasses; the carrier liquid fumes and burns.";
    /// Dye penetrant.
    Penetrant, Always, "Dye penetrant", "cleaner, dye and developer fume and burn: fresh air, gloves, no flame; UV glasses under the lamp.";
    /// Pressure test.
    PressureTest, Always, "Pressure test",
        "water, not air, where it can be; plates and plugs can leave like a shot: stand aside, keep to the rig's limit; hot water scalds.";
    /// Air in a cylinder.
    AirInCylinder, Always, "Air in a cylinder",
        "it turns the crank with force: no wrench or bar left on, hands off fan, belt and flywheel; valves are not trusted to the \
         hose: piston down, or rope in.";
    /// A torque wrench.
    Wrench, Always, "Wrench", "pull, never push; the stand locked: a bolt or a socket can let go.";
    /// Priming.
    Priming, Always, "Priming", "a drill kicks when the oil comes: side handle; a pressure tank stays at its own low pressure.";
    /// A running engine.
    Running, Always, "Running engine",
        "extinguisher and kill switch at hand, stand bolts checked, turning parts guarded, nothing loose; nobody leans over it or \
         stands in line with flywheel or fan; ears covered.";
    /// Exhaust.
    Exhaust, Always, "Exhaust", "led outdoors, the carbon monoxide alarm on.";
    /// Hot coolant.
    HotCoolant, Always, "Hot coolant and oil", "the cap holds pressure: it stays on till cool; hot oil burns.";
    /// Fuel.
    Fuel, Always, "Fuel", "fresh air, no smoking, no lamp; what is spilt is gone before any spark.";
    /// Battery.
    Battery, Always, "Battery", "disconnected before work; its gas explodes: no spark, no smoking.";
}
