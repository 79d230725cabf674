//! What hangs on each fact of the two rebuilds: the table of `tests/gates.rs`.
#![allow(unreachable_pub, reason = "a part of one test file")]

use benchdrop::stages::{Actor, BlockerRule, Stage};

/// What a drop of this kind of name is needed for: its gate, rule and actor. What it is about is in the name.
pub const NEEDED: &[(&str, Stage, BlockerRule, Actor)] = &[
    ("off", Stage::Teardown, BlockerRule::Stripped, Actor::Bench),
    ("bag", Stage::Teardown, BlockerRule::Bagged, Actor::Bench),
    ("plugs out", Stage::Teardown, BlockerRule::PlugsOut, Actor::Bench),
    ("pins out", Stage::Teardown, BlockerRule::PinsOut, Actor::Bench),
    ("clean", Stage::Teardown, BlockerRule::Cleaned, Actor::Bench),
    ("look", Stage::Inspection, BlockerRule::LookedAt, Actor::Bench),
    ("crack test", Stage::Inspection, BlockerRule::Tested, Actor::Bench),
    ("pressure test", Stage::Inspection, BlockerRule::Tested, Actor::Bench),
    ("read", Stage::Inspection, BlockerRule::Measured, Actor::Bench),
    ("read new", Stage::Inspection, BlockerRule::Measured, Actor::Bench),
    ("agree", Stage::Machining, BlockerRule::Agreed, Actor::Owner),
    ("again", Stage::Machining, BlockerRule::Remeasured, Actor::Bench),
    ("crack test again", Stage::Machining, BlockerRule::TestedAgain, Actor::Bench),
    ("plugs in", Stage::Machining, BlockerRule::PlugsIn, Actor::Bench),
    ("as fitted", Stage::Reassembly, BlockerRule::AsFitted, Actor::Bench),
    ("under new bolts", Stage::Reassembly, BlockerRule::UnderNewBolts, Actor::Bench),
    ("fit", Stage::Reassembly, BlockerRule::Fitted, Actor::Bench),
    ("torque", Stage::Reassembly, BlockerRule::Torqued, Actor::Bench),
    ("pins in", Stage::Reassembly, BlockerRule::PinsIn, Actor::Bench),
    ("always new", Stage::Reassembly, BlockerRule::AlwaysNew, Actor::Bench),
    ("general order", Stage::Reassembly, BlockerRule::OwnOrder, Actor::Owner),
    ("bag used", Stage::Reassembly, BlockerRule::BagsUsed, Actor::Bench),
];

const CHECK_IN: &str = "checked in received owner";

/// Facts that more, or nothing, hangs on: written as gate, rule, actor and thing. Nothing hangs on what a later fact says
/// anew: a part that was replaced is off and clean, a surface that was cut or measured as fitted is measured.
pub const OTHERWISE: &[(&str, &[&str])] = &[
    ("sheet", &[CHECK_IN]),
    ("house rules", &[CHECK_IN]),
    ("check-in", &[CHECK_IN]),
    ("people", &[]),
    ("wrench TW-1", &["reassembly good wrench bench TW-1"]),
    ("authority", &["checked in leave to take apart customer"]),
    ("estimate", &["inspection estimated owner"]),
    ("deposit", &["released paid customer"]),
    ("price", &["released priced owner"]),
    ("paid", &["released paid customer"]),
    ("sign delivered", &["released signed owner"]),
    ("sign teardown", &["teardown signed owner"]),
    ("sign inspection", &["inspection signed owner"]),
    ("sign machining", &["machining signed owner"]),
    ("sign reassembly", &["reassembly signed owner"]),
    ("sign engine", &["released signed owner"]),
    ("crack test rod", &["inspection looked at bench rod", "inspection tested bench rod"]),
    ("crack test flywheel", &["inspection looked at bench flywheel", "inspection tested bench flywheel"]),
    // Ground, and tested again since: what stays open is that nobody had tested it before.
    ("crack test crankshaft", &["machining leave to cut bench crankshaft"]),
    ("read main journal", &[]),
    ("off main shell", &[]),
    ("replace ring set", &[]),
];

pub const OV24_OTHERWISE: &[(&str, &[&str])] = &[
    ("read crankpin", &[]),
    ("read bore", &[]),
    // Bored since: what is left of the wall is asked after that.
    ("read wall on the thrust side", &[]),
    ("read wall on other sides", &[]),
    ("off rod shell", &[]),
    ("off piston", &[]),
    ("clean piston", &[]),
    ("read piston skirt", &[]),
    ("read piston pin bore", &[]),
    ("crack test block", &["inspection tested bench block", "machining leave to cut bench block"]),
    (
        "approval",
        &[
            "inspection approved customer",
            "machining leave to cut owner block",
            "machining leave to cut owner crankshaft",
        ],
    ),
    ("read main housing", &["inspection measured bench main housing 1, 2, 3, 4, 5", MAIN_CLEARANCE]),
    ("read rod housing", &["inspection measured bench rod housing 1, 2, 3, 4", ROD_CLEARANCE]),
    (
        "read cam journal",
        &[
            "inspection measured bench cam journal 1, 2, 3, 4",
            "reassembly as fitted bench cam clearance 1, 2, 3, 4",
        ],
    ),
    (
        "in hand main shell",
        &[
            "inspection can be had owner main shell, 0.010 under",
            "machining in hand supplier main shell, 0.010 under",
        ],
    ),
    (
        "in hand rod shell",
        &[
            "inspection can be had owner rod shell, 0.020 under",
            "machining in hand supplier rod shell, 0.020 under",
        ],
    ),
    (
        "in hand piston",
        &["inspection can be had owner piston, 0.030 over", "machining in hand supplier piston, 0.030 over"],
    ),
    (
        "in hand ring set",
        &[
            "inspection can be had owner ring set, 0.030 over",
            "machining in hand supplier ring set, 0.030 over",
        ],
    ),
    (
        "order WO-1 out",
        &[
            MAINS_UNDONE,
            MAIN_CLEARANCES[0],
            MAIN_CLEARANCES[1],
            MAIN_CLEARANCES[2],
            MAIN_CLEARANCES[3],
            MAIN_CLEARANCES[4],
            "reassembly fitted bench main shell",
            HELD,
        ],
    ),
    (
        "order WO-1 back",
        &[
            "machining out machinist work order WO-1",
            MAINS_UNDONE,
            MAIN_CLEARANCES[0],
            MAIN_CLEARANCES[1],
            MAIN_CLEARANCES[2],
            MAIN_CLEARANCES[3],
            MAIN_CLEARANCES[4],
            "reassembly fitted bench main shell",
            HELD,
        ],
    ),
    ("again main journal", &["machining measured again bench main journal 1, 2, 3, 4, 5", MAIN_CLEARANCE]),
    (
        "order WO-2 out",
        &[
            PINS_UNDONE,
            ROD_CLEARANCES[0],
            ROD_CLEARANCES[1],
            ROD_CLEARANCES[2],
            ROD_CLEARANCES[3],
            "reassembly fitted bench rod shell",
            HELD,
        ],
    ),
    (
        "order WO-2 back",
        &[
            "machining out machinist work order WO-2",
            PINS_UNDONE,
            ROD_CLEARANCES[0],
            ROD_CLEARANCES[1],
            ROD_CLEARANCES[2],
            ROD_CLEARANCES[3],
            "reassembly fitted bench rod shell",
            HELD,
        ],
    ),
    ("again crankpin", &["machining measured again bench crankpin 1, 2, 3, 4", ROD_CLEARANCE]),
    (
        "cut bore",
        &[
            "machining done machinist bore 1, 2, 3, 4",
            "reassembly fitted bench piston",
            "reassembly fitted bench ring set",
            HELD,
        ],
    ),
    (
        "again bore",
        &[
            "machining measured again bench bore 1, 2, 3, 4",
            "reassembly as fitted bench piston clearance 1, 2, 3, 4",
        ],
    ),
    (
        "read new piston skirt",
        &[
            "inspection measured bench piston skirt 1, 2, 3, 4",
            "reassembly as fitted bench piston clearance 1, 2, 3, 4",
        ],
    ),
    // Bigger than anything new at the size that was there before: asked about, and kept out.
    (
        "replace main shell",
        &[
            "reassembly questioned bench main shell 1",
            "reassembly questioned bench main shell 2",
            "reassembly questioned bench main shell 3",
            "reassembly questioned bench main shell 4",
            "reassembly questioned bench main shell 5",
            MAIN_CLEARANCE,
        ],
    ),
    (
        "replace rod shell",
        &[
            "reassembly questioned bench rod shell 1",
            "reassembly questioned bench rod shell 2",
            "reassembly questioned bench rod shell 3",
            "reassembly questioned bench rod shell 4",
            ROD_CLEARANCE,
        ],
    ),
    (
        "replace piston",
        &[
            "inspection questioned bench piston skirt 1",
            "inspection questioned bench piston skirt 2",
            "inspection questioned bench piston skirt 3",
            "inspection questioned bench piston skirt 4",
        ],
    ),
    // It ran without: what it ran on is looked at.
    (
        "check oil and coolant",
        &["released checked bench oil and coolant", "released before the first start bench oil and coolant"],
    ),
    (
        "check break-in lubricant",
        &[
            "released checked bench break-in lubricant",
            "released before the first start bench break-in lubricant",
        ],
    ),
    (
        "check pump primed",
        &["released checked checker pump primed", "released before the first start bench pump primed"],
    ),
    ("as fitted main shell", &["reassembly as fitted bench main shell 1, 2, 3, 4, 5", MAIN_CLEARANCE]),
    ("as fitted rod shell", &["reassembly as fitted bench rod shell 1, 2, 3, 4", ROD_CLEARANCE]),
    (
        "as fitted cam bearing bore",
        &[
            "reassembly as fitted bench cam bearing bore 1, 2, 3, 4",
            "reassembly as fitted bench cam clearance 1, 2, 3, 4",
        ],
    ),
];

/// What was read after work, and came back, waits for the work.
const HELD: &str = "released held bench";
const MAINS_UNDONE: &str = "machining done machinist main journal 1, 2, 3, 4, 5";
const PINS_UNDONE: &str = "machining done machinist crankpin 1, 2, 3, 4";
/// Judged one by one: each with its own value.
const MAIN_CLEARANCES: [&str; 5] = [
    "reassembly as fitted bench main clearance 1",
    "reassembly as fitted bench main clearance 2",
    "reassembly as fitted bench main clearance 3",
    "reassembly as fitted bench main clearance 4",
    "reassembly as fitted bench main clearance 5",
];
const ROD_CLEARANCES: [&str; 4] = [
    "reassembly as fitted bench rod clearance 1",
    "reassembly as fitted bench rod clearance 2",
    "reassembly as fitted bench rod clearance 3",
    "reassembly as fitted bench rod clearance 4",
];
const MAIN_CLEARANCE: &str = "reassembly as fitted bench main clearance 1, 2, 3, 4, 5";
const ROD_CLEARANCE: &str = "reassembly as fitted bench rod clearance 1, 2, 3, 4";

pub const KD3_OTHERWISE: &[(&str, &[&str])] = &[
    ("approval", &["inspection approved customer", "machining leave to cut owner crankshaft"]),
    // Measured again as fitted under their new bolts, which voids what was read under the old ones.
    ("read rod housing", &[]),
    ("read bore", &["inspection measured bench bore 1, 2, 3", KD3_PISTONS]),
    ("read piston skirt", &["inspection measured bench piston skirt 1, 2, 3", KD3_PISTONS]),
    ("read main housing", &["inspection measured bench main housing 1, 2, 3, 4", KD3_MAINS]),
    ("read crankpin", &["inspection measured bench crankpin 1, 2, 3", KD3_RODS]),
    (
        "in hand main shell",
        &[
            "inspection can be had owner main shell, 0.25 under",
            "machining in hand supplier main shell, 0.25 under",
        ],
    ),
    (
        "cut main journal",
        &[
            "machining done machinist main journal 1, 2, 3, 4",
            "reassembly as fitted bench main clearance 1",
            "reassembly as fitted bench main clearance 2",
            "reassembly as fitted bench main clearance 3",
            "reassembly as fitted bench main clearance 4",
            "reassembly fitted bench main shell",
            HELD,
        ],
    ),
    ("again main journal", &["machining measured again bench main journal 1, 2, 3, 4", KD3_MAINS]),
    (
        "replace main shell",
        &[
            "reassembly questioned bench main shell 1",
            "reassembly questioned bench main shell 2",
            "reassembly questioned bench main shell 3",
            "reassembly questioned bench main shell 4",
            KD3_MAINS,
        ],
    ),
    (
        "check oil and coolant",
        &["released checked bench oil and coolant", "released before the first start bench oil and coolant"],
    ),
    (
        "check pump primed",
        &["released checked checker pump primed", "released before the first start bench pump primed"],
    ),
    ("as fitted main shell", &["reassembly as fitted bench main shell 1, 2, 3, 4", KD3_MAINS]),
    ("as fitted rod shell", &["reassembly as fitted bench rod shell 1, 2, 3", KD3_RODS]),
];

const KD3_PISTONS: &str = "reassembly as fitted bench piston clearance 1, 2, 3";
const KD3_MAINS: &str = "reassembly as fitted bench main clearance 1, 2, 3, 4";
const KD3_RODS: &str = "reassembly as fitted bench rod clearance 1, 2, 3";
