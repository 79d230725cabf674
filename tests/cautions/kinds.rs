//! What a part is of, and where a cam is pushed: cautions and tests are right for each.

use crate::rebuild::rebuild;
use crate::support::{drop_at, house_rules, look};
use crate::{KD3, KD3_REBUILD, said, seen, sheet};
use benchdrop::facts::TestKind;
use benchdrop::stages::cautions::{Doing, at_hand, cautions};
use serde_json::{Value, json};

/// A magnet holds neither austenitic stainless nor titanium (handbooks): their cracks are looked for with dye.
#[test]
fn a_magnet_does_not_hold_every_valve() {
    let of = |name: &str, expansion: &str, metal: Option<&str>| {
        let mut drop: Value = serde_json::from_str(KD3).unwrap();
        let mut material = json!({"material": name, "expansion": expansion, "uncertainty": "1"});
        if let Some(metal) = metal {
            material["metal"] = metal.into();
        }
        drop["body"]["materials"].as_array_mut().unwrap().push(material);
        let parts = drop["body"]["parts"].as_array_mut().unwrap();
        let valve = parts.iter_mut().find(|part| part["part"] == "exhaust valve").unwrap();
        valve["material"] = name.into();
        valve["crack-test"] = true.into();
        drop
    };
    let particles = [Doing::Test(TestKind::MagneticParticle)];
    for (material, holds) in [
        (of("valve alloy", "17.5", Some("stainless")), false),
        (of("austenitic valve steel", "17.5", None), false),
        (of("valve steel 2", "16.0", None), false),
        (of("titanium grade", "8.6", None), false),
        (of("valve alloy", "8.6", Some("titanium")), false),
        (of("valve steel 1", "11.5", Some("steel")), true),
        (of("martensitic valve steel", "10.5", None), true),
    ] {
        let said = said(&sheet(&material.to_string()), &particles, "exhaust valve");
        assert_eq!(said.contains("test: exhaust valve: they show nothing"), !holds, "{said}");
        let view = look(&[
            material.clone(),
            house_rules(0),
            drop_at(
                "check-in",
                1,
                json!({"sheet": "KD-3", "customer": {"name": "Ferrowmere Mill"},
                "engine": {"serial": "00317"}, "scope": ["complete"], "approver": "Ines Ferrow"}),
            ),
        ]);
        let asks = view
            .standing
            .blockers
            .iter()
            .filter(|b| b.rule.word() == "tested" && b.about.starts_with("exhaust valve"));
        let asks: Vec<bool> = asks.map(|b| b.what.contains("with dye penetrant")).collect();
        assert_eq!(asks, [!holds]);
    }
}

/// The springs push while the caps are tightened too, not only until they are fitted.
#[test]
fn cam_caps_that_are_on_and_loose_are_still_said_to_be_pushed() {
    let mut drops = rebuild(&KD3_REBUILD);
    drops.retain(|(name, _)| name != "torque cam caps");
    let (view, ..) = seen(&drops);
    assert!(
        view.standing.blockers.iter().any(|b| b.about == "cam caps Cam caps" && b.rule.word() == "tightened")
    );
    let sheet = view.job.sheet.as_deref();
    let steps = at_hand(&view.job, &view.standing).into_iter().map(|step| (step.doing, step.parts));
    let said = cautions(sheet, &steps.collect::<Vec<_>>());
    assert!(said.iter().any(|caution| caution.words.contains("evenly")), "{said:?}");
}
