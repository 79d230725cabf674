//! Work that came back: said more of, in parcels, too small, and what the plan and the lists make of it.

use super::*;
use benchdrop::facts::SizeWord;
use benchdrop::stages::{Actor, Stage};

fn out(minute: u32, feature: &str, finished: &str) -> Value {
    let body = json!({"order": "W-1", "out": {"to": "Stenning Grinding", "operation": "grind",
        "parts": [{"part": "crankshaft", "count": 1}], "places": [{"feature": feature, "positions": ["all"]}],
        "unit": "in", "finished": finished, "due": "2026-04-01"}});
    drop_at("work-order", minute, body)
}

fn back(minute: u32, result: &str, more: &Value) -> Value {
    let mut back = json!({"parts": [{"part": "crankshaft", "count": 1}], "result": result, "unit": "in", "finished": "0.020 under"});
    back.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    drop_at("work-order", minute, json!({"order": "W-1", "back": back}))
}

/// Saying later that it was demagnetised grinds nothing a second time; what was refused and comes again was ground again.
#[test]
fn more_about_what_came_back_is_no_second_work() {
    let base =
        with(&engine(&json!({})), &[out(60, "crankpin", "0.020 under"), back(61, "accepted", &json!({}))]);
    let done = |drops: &[Value]| {
        let view = look(drops);
        let sheet = view.job.sheet.clone().unwrap();
        let pins = sheet.features.iter().position(|feature| feature.key == "crankpin").unwrap();
        let pin = view.job.surfaces.iter().find(|(key, _)| key.feature == pins).unwrap().1.done.len();
        let worked: usize = view.job.parts.values().map(|life| life.worked.len()).sum();
        (pin, worked)
    };
    assert_eq!(done(&base), (1, 1));
    assert_eq!(done(&with(&base, &[back(62, "accepted", &json!({"demagnetised": true}))])), (1, 1));
    let refused = with(
        &engine(&json!({})),
        &[out(60, "crankpin", "0.020 under"), back(61, "refused", &json!({"note": "tapered"}))],
    );
    assert_eq!(done(&refused), (0, 0));
    assert_eq!(done(&with(&refused, &[back(62, "accepted", &json!({}))])), (1, 1));
}

/// Two and two are four; the stamp of those that are here, read later, makes no more of them.
#[test]
fn parcels_add_up() {
    let parcel = |minute, count: u32, stamped: Option<&str>| {
        let mut body = json!({"item": "main shell", "unit": "in", "size": "0.010 under", "count": count, "state": "received"});
        if let Some(size) = stamped {
            body["stamped"] = size.into();
        }
        drop_at("supply", minute, body)
    };
    let ordered =
        json!({"item": "main shell", "unit": "in", "size": "0.010 under", "count": 5, "state": "ordered"});
    let ordered = drop_at("supply", 50, ordered);
    let here = |more: &[Value]| {
        let view = look(&with(&with(&engine(&json!({})), std::slice::from_ref(&ordered)), more));
        let step =
            benchdrop::metrology::Length::parse("0.010", benchdrop::metrology::Unit::Inch).unwrap().exact();
        view.job.books.supply("main shell", Some(SizeWord::Under(step))).unwrap().supply.count
    };
    let stamped = Some("0.010 under");
    assert_eq!(here(&[parcel(51, 2, stamped), parcel(52, 3, stamped)]), 5);
    assert_eq!(here(&[parcel(51, 5, None), parcel(52, 5, stamped)]), 5, "the stamp was read");
    assert_eq!(here(&[parcel(51, 5, stamped), parcel(52, 5, stamped)]), 5, "all were here: said again");
}

/// A main ground to 2.2375, below the least 2.2390 of 0.010 under: the metal is gone, it does not "go back", it is the owner's to
/// decide and stands among what the engine waits for although it is still at its inspection; and the plan takes all of them to
/// the next size, whatever was agreed for the one that is not ground yet.
#[test]
fn metal_that_is_gone_does_not_go_back() {
    let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]}});
    let ground = json!({"operation": "grind", "unit": "in", "finished": "0.010 under",
        "places": [{"feature": "main journal", "positions": ["1", "2", "3", "5"]}]});
    let mut readings: Vec<Value> =
        ["1", "2", "5"].iter().flat_map(|p| journal("main journal", p, ["2.2392"; 4])).collect();
    readings.extend(journal("main journal", "3", ["2.2375"; 4]));
    let after = measured(61, "after work", "MIC", readings);
    let drops = [
        prices("95.00"),
        drop_at("decision", 50, agreed),
        drop_at("operation", 60, ground),
        after.clone(),
        confirmed(62, &after, "main journal"),
    ];
    let view = look(&with(&engine(&json!({})), &drops));
    assert!(view.standing.stage < Stage::Machining);
    let waits: Vec<_> = view.standing.waits().filter(|blocker| blocker.about == "main journal 3").collect();
    assert_eq!(waits.len(), 1, "{waits:?}");
    assert!(waits[0].actor == Actor::Owner && waits[0].what.contains("the metal is gone"), "{waits:?}");
    let found = plan_json(&view);
    assert!(short(&found, 0).contains("every main journal to 0.020 under"), "{}", short(&found, 0));
}
