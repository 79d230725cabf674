//! Bolts that were loosened are not tight: what they hold came off again, or went in after them.

use super::*;

fn joints(drops: &[Named]) -> Vec<String> {
    let standing = stand(drops);
    let of_bolts = [BlockerRule::Torqued, BlockerRule::NewBolts];
    let open = standing.blockers.iter().filter(|blocker| of_bolts.contains(&blocker.rule));
    open.map(|b| format!("{}: {}", b.about, b.what)).collect()
}

/// Everything tightened for a mock-up, then a cap and the head off again: their bolts are owed, and no others.
#[test]
fn a_mock_up_is_not_the_assembly() {
    let all = rebuild(&OV24_REBUILD);
    assert_eq!(joints(&all), Vec::<String>::new());
    for event in ["off", "replaced", "fitted"] {
        let cap = json!({"part": "main cap", "position": "3", "event": event, "state": "used"});
        let with = [all.clone(), vec![drop("part", AFTER_ALL, cap)]].concat();
        let at = "at 3 cam, 3 plug";
        let owed = format!("not recorded: stage 1 of 3 {at}; stage 2 of 3 {at}; stage 3 of 3 {at}");
        assert_eq!(joints(&with), [format!("G01 Main caps: {owed}")], "{event}");
        let again = json!({"torque": [{"group": "G01", "places": ["3 cam", "3 plug"], "lubricant": "oil",
            "bolts": "used"}]});
        let mended = [with, vec![drop("assembly", "2026-04-01T11:00:00Z", again)]].concat();
        assert_eq!(joints(&mended), Vec::<String>::new(), "{event}");
    }
    // Where it lies is nothing to its bolts, and other parts are held by others.
    for (part, event) in [("main cap", "moved"), ("piston", "off")] {
        let body = json!({"part": part, "position": "3", "event": event, "where": "bench"});
        assert_eq!(
            joints(&[all.clone(), vec![drop("part", AFTER_ALL, body)]].concat()),
            Vec::<String>::new()
        );
    }
}

/// A new head gasket: the yield bolts that held the first are used now, though they were new when they were tightened.
#[test]
fn single_use_bolts_are_used_once_they_were_tightened() {
    let gasket = json!({"fitted": [{"part": "head gasket", "state": "new"}]});
    let drops = [rebuild(&OV24_REBUILD), vec![drop("assembly", AFTER_ALL, gasket)]].concat();
    let open = joints(&drops);
    assert!(
        open.len() == 1 && open[0].starts_with("G03 Cylinder head: not recorded: stage 1 of 3"),
        "{open:?}"
    );
    let again = |bolts: &str| {
        let torque = json!({"torque": [{"group": "G03", "lubricant": "oil threads and under head",
            "bolts": bolts}]});
        joints(&[drops.clone(), vec![drop("assembly", "2026-04-01T11:00:00Z", torque)]].concat())
    };
    assert!(again("used")[0].contains("single use, fit new ones"), "{:?}", again("used"));
    assert_eq!(again("new"), Vec::<String>::new());
}

/// What is set aside on one group of bolts, or one order, rests on its own statements and not on everything.
#[test]
fn a_group_and_an_order_are_things() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.retain(|(name, _)| !["torque G01", "order WO-2 back", "again crankpin"].contains(&name.as_str()));
    let (job, judgement) = folded(&drops);
    let all = signables(&job, &judgement, &standing(&job, &judgement));
    let about = |thing: &str| {
        let found = all.iter().find(|signable| signable.what.contains(&format!(" of {thing} at ")));
        found.unwrap_or_else(|| panic!("{thing}: {all:#?}")).what.clone()
    };
    let (bolts, order) = (about("G01 Main caps"), about("work order WO-2"));
    let with = |kind: &str, body: Value| [drops.clone(), vec![drop(kind, AFTER_ALL, body)]].concat();
    let elsewhere = with("part", json!({"part": "damper", "event": "cleaned", "method": "spray cabinet"}));
    for what in [&bolts, &order] {
        assert_eq!(
            code(&elsewhere, what),
            code(&drops, what),
            "{what}: a damper that is cleaned is nothing to it"
        );
    }
    let own = json!({"group": "G01", "state": "bagged", "pieces": [{"size": "1/2-13 x 3.75", "count": 10}]});
    assert_ne!(code(&with("hardware", own), &bolts), code(&drops, &bolts));
    let off = json!({"part": "main cap", "position": "3", "event": "off"});
    assert_ne!(code(&with("part", off), &bolts), code(&drops, &bolts));
}
