//! The second invented engine and a vee: gaskets by protrusion, an overhead cam, two banks, and what a sheet does not say.

use super::{engine, exact, exactly, of, one, ov24, value};
use crate::near;
use crate::support::*;
use benchdrop::judgement::Judgement;
use benchdrop::metrology::{Exact, Unit};
use benchdrop::planning::effects::What;
use benchdrop::shop::Job;
use serde_json::Value;

const KD3: &str = include_str!("../../../schemas/examples/sheet.v1/pass/kd-3.json");
const VEE: &str = include_str!("../../../schemas/examples/sheet.v1/pass/geometry.json");

fn mm(digits: &str) -> Exact {
    exact(digits, Unit::Millimetre)
}

fn kd3() -> (Job, Judgement) {
    engine(&serde_json::from_str(KD3).unwrap(), &[])
}

/// E7: 0.010 in at a pitch radius of 1.75 in is 0.65 degree at the crank; the vee of the example sheet has that radius
/// (44.45 mm) and a run that leans by 12 degrees.
#[test]
fn an_overhead_cam_runs_later() {
    let mut sheet: Value = serde_json::from_str(VEE).unwrap();
    let engine_at = |sheet: &Value| engine(sheet, &[]);
    let leaning = of(&engine_at(&sheet), &[("head thickness", "left", "0.254")]);
    let straight = 2.0 * (0.254_f64 / 44.45) * 180.0 / std::f64::consts::PI;
    near(
        "leaning",
        value(&leaning, What::CamTiming, "left"),
        straight * (std::f64::consts::PI / 15.0).cos(),
        1e-12,
    );
    sheet["body"]["geometry"]["drive-angle"] = "0".into();
    let found = of(&engine_at(&sheet), &[("head thickness", "left", "0.254")]);
    near("0.65", value(&found, What::CamTiming, "left"), 0.65, 0.005);
    near("straight", value(&found, What::CamTiming, "left"), straight, 1e-12);
    assert!(
        found.iter().all(|e| e.what != What::CamTiming || e.position == "left"),
        "the other bank is not cut"
    );
    // Manifold faces of a vee: the sheet's factor, else 1.0 to 1.4 times.
    assert_eq!(exactly(&found, What::ManifoldFaces, "left"), mm("0.3048"), "1.2 x 0.254");
    sheet["body"]["geometry"].as_object_mut().unwrap().remove("manifold-factor");
    let found = of(&engine_at(&sheet), &[("head thickness", "left", "0.254")]);
    assert_eq!(one(&found, What::ManifoldFaces, "left").then, "cut by 0.254 to 0.3556 mm");
    assert!(found.iter().all(|effect| effect.what != What::Pushrods));
    // Only the cylinders of the bank that is cut: 60.0 cm2 x 0.254 mm.
    near("chamber", value(&found, What::ChamberVolume, "1"), 50.0 - 60.0 * 0.0254, 1e-9);
    assert!(found.iter().all(|e| e.what != What::ChamberVolume || e.position == "1"));
    // Least squish 1.00 mm: gasket 1.00, piston 0.20 below.
    let cut = of(&engine_at(&sheet), &[("deck height", "right", "0.21")]);
    assert_eq!(one(&cut, What::Squish, "2").inside, Some(false), "1.00 + 0.20 - 0.21");
}

/// H2: the printed ratio 18.26 with gasket and protrusion, and the gasket check: 0.45 to 0.55 takes 1.20, to 0.65 1.30,
/// to 0.75 1.40, each leaving 0.65 to 0.75; 0.555 takes 1.30 and leaves 0.745.
#[test]
fn gaskets_of_the_second_engine() {
    let at = |protrusion: &str| {
        let each = ["1", "2", "3"]
            .map(|p| reading("piston protrusion", p, "on the pin axis", "above deck", protrusion));
        let mut drop = measured(20, "at assembly", "MIC", each.to_vec());
        drop["body"]["unit"] = "mm".into();
        drop["body"].as_object_mut().unwrap().remove("gauge");
        engine(&serde_json::from_str(KD3).unwrap(), &[drop])
    };
    for (protrusion, cut, gasket, squish) in [
        ("0.45", "0.005", "1.200 mm", "0.745"),
        ("0.505", "0.05", "1.300 mm", "0.745"),
        ("0.54", "0.01", "1.200 mm", "0.65"),
        ("0.60", "0.05", "1.300 mm", "0.65"),
        ("0.60", "0.051", "1.400 mm", "0.749"),
        ("0.70", "0.05", "1.400 mm", "0.65"),
    ] {
        let found = of(&at(protrusion), &[("deck height", "1", cut)]);
        let chosen = one(&found, What::Gasket, "");
        assert!(chosen.then.starts_with(gasket), "{protrusion} {cut}: {}", chosen.then);
        assert_eq!(exactly(&found, What::Squish, "2"), mm(squish), "{protrusion} {cut}");
        assert_eq!(one(&found, What::Squish, "2").inside, Some(true));
        assert_eq!(exactly(&found, What::PistonToDeck, "2"), mm(protrusion) + mm(cut));
    }
    let beyond = of(&at("0.70"), &[("deck height", "1", "0.06")]);
    assert_eq!(one(&beyond, What::Gasket, "").inside, Some(false));
    assert_eq!(one(&beyond, What::PistonToDeck, "1").inside, Some(false));
    assert_eq!(one(&beyond, What::EverRemoved, "deck height").inside, Some(false), "0.05 at most");
    let found = of(&kd3(), &[("deck height", "1", "0.05")]);
    assert_eq!(one(&found, What::CompressionRatio, "1").now.as_deref(), Some("18.260 to 1"));
    assert!(one(&found, What::CompressionRatio, "1").now.as_deref().unwrap().starts_with("18.26"));
    assert_eq!(one(&found, What::PistonToDeck, "3").then, "0.650 mm");
}

/// Within U of a band's edge both gaskets are shown, with what each leaves.
#[test]
fn near_an_edge_both_gaskets_are_shown() {
    let each =
        ["1", "2", "3"].map(|p| reading("piston protrusion", p, "on the pin axis", "above deck", "0.53"));
    let mut drop = measured(20, "at assembly", "MIC", each.to_vec());
    drop["body"]["unit"] = "mm".into();
    // U of the micrometer is 0.00025 in, 0.00635 mm: 0.545 is within it of 0.55, 0.54 is not.
    let engine = engine(&serde_json::from_str(KD3).unwrap(), &[drop]);
    let then = |cut| one(&of(&engine, &[("deck height", "1", cut)]), What::Gasket, "").then.clone();
    assert_eq!(then("0.015"), "1.200 mm (1 notch) leaves 0.655 mm; or 1.300 mm (2 notches) leaves 0.755 mm");
    assert_eq!(then("0.010"), "1.200 mm (1 notch) leaves 0.660 mm");
}

/// H2: what the second sheet does not give is said, not assumed; recession follows face and seat.
#[test]
fn what_the_sheet_does_not_say_is_said() {
    let kd3 = kd3();
    let found = of(&kd3, &[("head thickness", "1", "0.10")]);
    for (what, word) in
        [(What::CamTiming, "pitch radius"), (What::CompressionRatio, "area at the gasket face")]
    {
        let effect = one(&found, what, "");
        assert!(
            effect.then.starts_with("the sheet does not say") && effect.then.contains(word),
            "{effect:?}"
        );
        assert_eq!((effect.value, effect.inside), (None, None));
        assert_eq!(found.iter().filter(|e| e.what == what).count(), 1, "said once");
    }
    assert_eq!(exactly(&found, What::Recession, "1 intake"), mm("0.65"), "0.75 less the skim");
    let ever = one(&found, What::EverRemoved, "head thickness");
    assert!(ever.inside.is_none() && ever.steps.iter().any(|step| step.contains("measure it")), "{ever:?}");
    assert_eq!(exactly(&found, What::PistonToValve, ""), mm("-0.10"));
    let seat = of(&kd3, &[("seat width", "2 exhaust", "0.40")]);
    assert_eq!(exactly(&seat, What::Recession, "2 exhaust"), mm("1.15"));
    assert_eq!(one(&seat, What::Recession, "2 exhaust").inside, Some(false), "1.10 after work");
    assert!(one(&seat, What::SpringHeight, "").then.starts_with("the sheet does not say"));
    // A sheet without geometry still says what is left.
    let mut sheet: Value = serde_json::from_str(OV24).unwrap();
    sheet["body"].as_object_mut().unwrap().remove("geometry");
    let bare = engine(&sheet, &[]);
    let found = of(&bare, &[("head thickness", "1", "0.010")]);
    assert!(one(&found, What::NotComputed, "").then.starts_with("the sheet does not say"));
    assert_eq!(one(&found, What::EverRemoved, "head thickness").inside, None);
    assert_eq!(found.len(), 3);
    assert!(of(&bare, &[("main journal", "1", "0.010 under")]).is_empty());
    assert!(of(&ov24(), &[("main journal", "1", "0.010 under")]).is_empty(), "a journal moves nothing here");
}
