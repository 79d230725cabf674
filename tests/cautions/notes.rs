//! What can hurt, and what cannot, written by hand from section G of the trade notes.

use benchdrop::facts::{PartEvent, TestKind, Trouble};
use benchdrop::sheets::Characteristic;
use benchdrop::stages::cautions::{Doing, Handled, Look, of_work};

pub(super) fn work(words: &str) -> Vec<Doing> {
    of_work(words, &[]).into_iter().map(|(doing, _)| doing).collect()
}

pub(super) fn look(words: &str) -> Vec<Doing> {
    Look::all_of(words).into_iter().map(Doing::Look).collect()
}

pub(super) fn handled(part: &str) -> Vec<Doing> {
    vec![Doing::Part(Handled::of(part))]
}

/// Rows of section G: its name, what a shop would call the step, the part, and words the caution cannot do without.
#[allow(clippy::too_many_lines, reason = "one table, read line by line beside section G")]
pub(super) fn rows() -> Vec<(&'static str, Vec<Doing>, &'static str, &'static [&'static str])> {
    vec![
        (
            "mount, lift",
            vec![Doing::Mounting],
            "",
            &["nobody under", "grade 8", "bottomed", "wheels locked", "two in aluminium"],
        ),
        ("mount, lift: turning over", vec![Doing::Turning], "", &["heavier", "slowly", "hands"]),
        ("head off, springs", handled("valve spring"), "valve spring", &["goggles", "face aside", "pitted"]),
        ("piston pins, press work", handled("piston pin"), "piston pin", &["guard", "shatter", "burns"]),
        ("piston pins, press work: straighten", work("straighten"), "crankshaft", &["guard", "shatter"]),
        (
            "cold shrink fits",
            work("fit guide"),
            "head",
            &["nitrogen", "freeze", "air", "face shield", "never a closed vessel"],
        ),
        ("cold shrink fits: sleeve", work("sleeve"), "block", &["nitrogen", "freeze"]),
        (
            "solvents",
            work("solvent bath"),
            "block",
            &["flame", "spark", "gloves", "fresh air", "closed metal can"],
        ),
        ("torch, welding", work("weld"), "head", &["fuel", "sealed", "chlorinated", "poison gas", "fire"]),
        ("torch, heat straightening", work("heat straighten"), "head", &["sealed", "fire"]),
        (
            "burnt seals",
            vec![Doing::Event(PartEvent::Off)],
            "",
            &["hydrofluoric", "bare hands", "doctor at once"],
        ),
        (
            "caustic tank",
            work("hot alkaline tank"),
            "head",
            &["face shield", "apron", "caustic goes into water", "eye wash", "hydrogen", "head"],
        ),
        (
            "caustic tank: into the bath",
            vec![Doing::Event(PartEvent::IntoBath)],
            "head",
            &["face shield", "hydrogen", "head"],
        ),
        ("parts oven", work("bake in the oven"), "block", &["zinc", "cadmium", "lead"]),
        ("blasting", work("bead blast"), "block", &["lungs", "gallery"]),
        ("compressed air", work("blown out with compressed air"), "block", &["30 psi", "glasses", "skin"]),
        ("air into a cylinder", look("leak-down"), "", &["turns the crank", "no wrench", "fan", "rope"]),
        ("compression test", look("compression"), "", &["no fuel"]),
        ("turning the engine", look("two turns"), "", &["cam drive off", "neither crank nor cam"]),
        ("turning the engine: belt off", handled("belt"), "belt", &["cam drive off"]),
        ("old gaskets", vec![Doing::Event(PartEvent::Off)], "", &["asbestos", "dry", "wetted", "law"]),
        ("eye, ear, hand", work("grind"), "crankshaft", &["glasses", "shield", "ears", "gloves"]),
        ("grinding, boring, honing", work("bore and hone"), "block", &["guards", "clamped", "loose", "mist"]),
        ("seats", work("cut seat"), "head", &["copper-beryllium", "dry"]),
        ("chrome-yellow deposits", handled("exhaust manifold"), "", &["wet only"]),
        (
            "crank polishing",
            work("polish"),
            "crankshaft",
            &["no gloves", "hair", "both ends", "round the hand"],
        ),
        (
            "magnetic particle",
            vec![Doing::Test(TestKind::MagneticParticle)],
            "crankshaft",
            &["pacemaker", "uv", "burns"],
        ),
        ("uv lamp, dye", vec![Doing::Test(TestKind::DyePenetrant)], "head", &["uv", "flame"]),
        (
            "pressure testing",
            vec![Doing::Test(TestKind::PressureTest)],
            "head",
            &["water", "stand aside", "limit", "scalds"],
        ),
        ("core plugs", work("core plugs out"), "block", &["glasses"]),
        (
            "high-pressure injection",
            handled("injector"),
            "injector",
            &["skin", "no hand", "hospital at once"],
        ),
        ("pop test", work("pop test the nozzles"), "injector", &["shield", "glasses", "flame"]),
        (
            "diesel, before first start",
            look("first start"),
            "",
            &["plate", "intake", "key off", "glow plugs"],
        ),
        (
            "first start",
            look("first start"),
            "",
            &[
                "extinguisher",
                "kill switch",
                "stand bolts",
                "leans over",
                "flywheel",
                "carbon monoxide",
                "outdoors",
                "cap holds pressure",
                "ears",
            ],
        ),
        ("run-in", look("run in"), "", &["extinguisher", "carbon monoxide"]),
        ("fuel, battery", vec![Doing::Carrying], "", &["disconnected", "no smoking"]),
        ("waste", look("filter cut open"), "", &["labelled", "hauler", "drain"]),
        ("chemicals", work("solvent"), "block", &["data sheet"]),
        ("lead, chrome, nickel dust", work("grit blast"), "block", &["wet", "mask"]),
        ("ergonomic", handled("crankshaft"), "crankshaft", &["two people", "hoist"]),
        ("ergonomic: head", handled("head"), "head", &["two people"]),
        ("overhead cam", handled("cam cap"), "cam cap", &["evenly"]),
        ("broken stud drilled out", vec![Doing::Trouble(Trouble::Broken)], "", &["glasses"]),
        ("seized part freed with heat", vec![Doing::Trouble(Trouble::Seized)], "", &["fire"]),
        (
            "spring load on the tester",
            vec![Doing::Reading(Characteristic::Load)],
            "valve spring",
            &["goggles"],
        ),
        ("leakage read", vec![Doing::Reading(Characteristic::Leakage)], "", &["turns the crank"]),
        ("priming by drill", look("pump primed"), "", &["drill"]),
        ("oil pressure before the start", look("oil pressure before"), "", &["extinguisher"]),
        ("ridge reamed", look("ridge removed"), "", &["glasses"]),
        ("blind holes blown", look("blind holes empty"), "", &["30 psi"]),
        ("tensioner", look("tensioner pin out"), "", &["fingers"]),
        ("fuel bled", look("fuel bled"), "", &["skin", "hospital"]),
    ]
}

/// What has no caution, and why it needs none. Written from the trade notes; compared exactly.
pub(super) const CANNOT_HURT: &[(&str, &str)] = &[
    ("event moved", "what is heavy is said of the part"),
    ("event missing", "it is not here"),
    ("event replaced", "words on paper; taking off and fitting have their own"),
    ("event stamp read", "reading"),
    ("test ultrasonic", "a probe and gel"),
    ("test hardness", "a ball under a small load"),
    ("trouble doubtful", "a question about whose part it is"),
    ("look other", "looked at by eye, nothing moves"),
    ("handled other", "light, dry and not under load"),
    ("reading size", "a gauge on a part that lies still"),
    ("reading out-of-round", "the same"),
    ("reading taper", "the same"),
    ("reading wear", "the same"),
    ("reading clearance", "worked out"),
    ("reading interference", "worked out"),
    ("reading end play", "a lever and a dial"),
    ("reading side clearance", "a feeler"),
    ("reading end gap", "a feeler"),
    ("reading run-out", "turned slowly between blocks"),
    ("reading flatness", "a straightedge and a feeler"),
    ("reading flatness per length", "the same"),
    ("reading alignment", "the same"),
    ("reading bend", "turned slowly between blocks"),
    ("reading squareness", "a square"),
    ("reading length", "a gauge on a part that lies still"),
    ("reading width", "the same"),
    ("reading height", "the same"),
    ("reading thickness", "the same"),
    ("reading margin", "the same"),
    ("reading volume", "water from a burette"),
    ("reading spread", "worked out"),
    ("reading roughness", "a stylus"),
    ("reading roundness", "an indicator on a part that is turned by hand between centres or in a vee"),
    ("reading radius", "a gauge on a part that lies still"),
    ("reading twist", "a fixture"),
    ("reading wobble", "a dial, the spring is off"),
    ("reading cross-hatch", "looked at"),
    ("reading unevenness", "worked out"),
    ("reading bell-mouth", "worked out"),
    ("reading spread percent", "worked out"),
    ("reading step to the next", "worked out"),
    ("reading run-out of neighbours", "worked out"),
    ("reading removed", "worked out"),
];
