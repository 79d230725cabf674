//! What is usual, kind of part by kind of part.

use crate::facts::{Defect as D, DispositionWord as W};

/// What is usual with these defects.
type ByDefect = (&'static [D], W, &'static str);

/// A kind of part.
pub(super) struct Row {
    /// How its name begins, or a word of it does, or with a space behind it a whole word. The first row that knows a name has
    /// it: what sits on a shaft stands before the shaft.
    pub(super) names: &'static [&'static str],
    pub(super) by_defect: &'static [ByDefect],
    /// With any other defect.
    pub(super) whatever: Option<(W, &'static str)>,
    /// It is replaced when nothing is found too.
    pub(super) never_kept: bool,
}

/// A kind that is always renewed.
const fn always(names: &'static [&'static str], what: W, how: &'static str) -> Row {
    Row { names, by_defect: &[], whatever: Some((what, how)), never_kept: true }
}

/// A kind whose every defect has the same answer.
const fn any(names: &'static [&'static str], what: W, how: &'static str) -> Row {
    Row { names, by_defect: &[], whatever: Some((what, how)), never_kept: false }
}

const fn row(names: &'static [&'static str], by_defect: &'static [ByDefect]) -> Row {
    Row { names, by_defect, whatever: None, never_kept: false }
}

/// What rubs a surface off.
const RUBBED: &[D] = &[D::Scoring, D::Grooving, D::Galling, D::Pitting, D::Spalling, D::Worn, D::Corrosion];

/// Names that hold another's come first: a head gasket is a gasket, a valve spring no valve.
pub(super) const ROWS: &[Row] = &[
    always(&["gasket", "seal", "o-ring", "stem seal"], W::Replace, "always new"),
    always(&["ring set", "piston ring", "rings"], W::ReplaceAsSet, "always new, the whole set"),
    always(&["pin clip", "clip"], W::Replace, "always new"),
    always(
        &["shell", "thrust bearing", "thrust washer", "cam bearing", "main bearing", "rod bearing"],
        W::Replace,
        "always new; the old ones are evidence, tagged until delivery",
    ),
    always(&["core plug", "oil filter", "nozzle washer", "split pin", "lock tab"], W::Replace, "always new"),
    row(
        &["main cap", "bearing cap", "bedplate"],
        &[
            (&[D::Fretting, D::Worn, D::Bent], W::Machine, "line bore it with its block"),
            (
                &[D::Crack, D::Break, D::WrongPart, D::Missing],
                W::HoldForOwner,
                "another cap means a line bore",
            ),
        ],
    ),
    row(
        &["rod cap", "rod", "connecting rod"],
        &[
            (&[D::Crack, D::Burning, D::Break], W::Replace, "match its weight"),
            (&[D::Bent], W::Repair, "straighten a forged one only, and crack test it again"),
            (
                &[D::Worn, D::Fretting, D::Grooving],
                W::Machine,
                "resize it with new bolts; a fracture-split one is replaced",
            ),
            (&[D::WrongPart, D::Missing], W::ReplaceAsSet, "caps are never swapped"),
        ],
    ),
    any(&["piston pin", "gudgeon", "wrist pin"], W::Replace, "fitted to its piston and rod"),
    row(
        &["piston cooling jet", "cooling jet"],
        &[(&[D::Blocked, D::Bent, D::Break], W::Replace, "clear and aimed")],
    ),
    any(&["piston"], W::ReplaceAsSet, "with the bore; weigh them"),
    any(
        &["lifter", "tappet", "bucket", "follower"],
        W::ReplaceAsSet,
        "with the cam; kept ones on their own lobe only",
    ),
    row(
        &["pushrod"],
        &[
            (&[D::Blocked, D::Deposits], W::Clean, ""),
            (&[D::Bent, D::Worn, D::Pitting, D::Scoring], W::Replace, "never straightened"),
        ],
    ),
    row(
        &["rocker cover", "valve cover", "side cover", "timing cover", "cover", "oil pan", "pan", "sump"],
        &[(&[D::Bent], W::Repair, "flatten the rail"), (&[D::Crack, D::Corrosion, D::Break], W::Replace, "")],
    ),
    row(
        &["rocker"],
        &[
            (RUBBED, W::Repair, "bush it, or regrind the pad"),
            (&[D::Crack, D::Break], W::Replace, "of the same ratio"),
            (&[D::Blocked], W::Clean, "oil holes down when it goes back"),
        ],
    ),
    any(
        &["valve spring", "spring", "retainer", "keeper", "collet", "rotator"],
        W::Replace,
        "keepers and retainers in pairs; a rust pit breaks it",
    ),
    row(
        &["valve guide", "guide", "valve seat", "seat"],
        &[
            (&[D::Loose, D::Crack], W::Replace, "the next size outside"),
            (RUBBED, W::Machine, "new guide or seat, or cut"),
        ],
    ),
    row(
        &["intake valve", "exhaust valve", "valve"],
        &[
            (&[D::Pitting, D::Abrasion], W::Machine, "grind face and tip, while the margin is left"),
            (
                &[D::Burning, D::Bent, D::Worn, D::Crack, D::Stretched, D::Break, D::Scoring, D::Grooving],
                W::Replace,
                "",
            ),
        ],
    ),
    row(
        &["cylinder head", "head"],
        &[
            (&[D::Crack], W::HoldForOwner, "pressure test it; a specialist welds it, or another"),
            (&[D::Bent], W::Machine, "measure the thickness, straighten, then skim"),
            (
                &[D::Erosion, D::Corrosion, D::Scratch, D::Scoring],
                W::Machine,
                "measure the thickness, then skim",
            ),
            (&[D::Loose], W::Repair, "new insert or guide, the next size outside"),
        ],
    ),
    row(
        &["cylinder block", "block", "crankcase"],
        &[
            (&[D::Crack], W::HoldForOwner, "crack test it; stitched or welded by a specialist, or another"),
            (&[D::Bent, D::Erosion], W::Machine, "deck it, while the height is left"),
            (RUBBED, W::Machine, "bore all of the group alike; a sleeve for the one that will not clean up"),
            (&[D::Loose], W::Repair, "measure the bore the bush turned in"),
            (&[D::Blocked, D::Deposits], W::Clean, "flush jacket and galleries"),
            (&[D::Break], W::Repair, "draw the stud out; thread insert"),
        ],
    ),
    any(
        &["timing chain", "chain", "belt", "tensioner", "sprocket", "idler", "timing gear", "cam sprocket"],
        W::ReplaceAsSet,
        "drive, wheels and tensioner together",
    ),
    any(&["oil pump"], W::Replace, "or rebuild it, with every clearance measured"),
    any(&["oil pickup", "pickup", "screen"], W::Replace, "cleaned only if it can be opened"),
    any(&["water pump"], W::Replace, ""),
    row(
        &["intake manifold", "exhaust manifold", "manifold"],
        &[
            (&[D::Bent, D::Erosion, D::Corrosion], W::Machine, "face it"),
            (&[D::Crack], W::SendOut, "welded by a specialist, or another"),
            (&[D::Break], W::Repair, "drill the stud out"),
        ],
    ),
    any(
        &["damper", "pulley", "crank pulley", "crankshaft pulley"],
        W::Replace,
        "a mark that moved is a damper that slipped",
    ),
    row(
        &["flywheel", "flexplate", "starter ring", "ring gear"],
        &[
            (&[D::Crack], W::Replace, "never resurfaced"),
            (&[D::Burning, D::Scoring, D::Grooving], W::Machine, "resurface it; crack test it first"),
            (&[D::Worn, D::Peening], W::Repair, "new starter ring"),
        ],
    ),
    row(
        &["injector", "injection pump"],
        &[(
            &[D::Blocked, D::Leaking, D::Worn, D::Deposits, D::Seized],
            W::SendOut,
            "tested on a bench for it",
        )],
    ),
    row(&["ignition", "distributor"], &[(RUBBED, W::Replace, "gear of a metal that goes with the cam")]),
    any(&["sensor", "sender", "wiring", "thermostat", "hose", "glow plug", "spark plug"], W::Replace, ""),
    row(
        &["turbo", "oil cooler", "cooler"],
        &[
            (&[D::Deposits, D::Blocked], W::Clean, "flush it: metal from a failed bearing comes back"),
            (RUBBED, W::Replace, ""),
        ],
    ),
    row(
        &["crankshaft", "crank "],
        &[
            (&[D::Crack, D::Break], W::Replace, "before any money is spent on it"),
            (
                &[D::Bent],
                W::Repair,
                "straighten it, but no cast-iron or nitrided one, and crack test it again",
            ),
            (&[D::Abrasion, D::Scratch], W::Machine, "polish"),
            (RUBBED, W::Machine, "grind all journals of the group alike"),
            (&[D::Burning], W::Machine, "crack test and hardness first, then grind"),
            (&[D::Blocked, D::Deposits], W::Clean, "open the plugs of its oil ways"),
            (&[D::MaterialState], W::Repair, "demagnetise it"),
        ],
    ),
    row(
        &["camshaft"],
        &[
            (RUBBED, W::Replace, "or regrind it; with all its lifters"),
            (&[D::Bent], W::Repair, "straighten it, and crack test it again"),
        ],
    ),
];
