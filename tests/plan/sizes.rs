//! Why a group comes to its size and to no other: clearances foreseen, a hard skin, what is left, places kept apart.

use super::*;

/// Every place of a housing at one value.
pub(super) fn housing(minute: u32, feature: &str, position: &str, value: &str) -> Value {
    let sheet: Value = serde_json::from_str(OV24).unwrap();
    let features = sheet["body"]["features"].as_array().unwrap();
    let own = features.iter().find(|f| f["feature"] == feature).unwrap();
    let mut readings = Vec::new();
    for station in own["stations"].as_array().unwrap() {
        for direction in own["directions"].as_array().unwrap() {
            let place = (station.as_str().unwrap(), direction.as_str().unwrap());
            readings.push(reading(feature, position, place.0, place.1, value));
        }
    }
    measured(minute, "as received", "BORE", readings)
}

fn grind_of(plan: &Value, name: &str) -> Value {
    lines_of(plan, 0).into_iter().find(|line| line["does"] == "grind" && line["on"] == name).unwrap()
}

/// H1 rows 13, 16, 19, 20 at 0.010 under: journals 2.2390 to 2.2395, walls 0.0802 to 0.0804, clearance 0.0012 to 0.0026.
/// In a housing of 2.4024, inside service, a journal of 2.2390 with the thinnest shells would run at 2.4024 - 0.1604 - 2.2390
/// = 0.0030. From 2.2394 on no shell is too thin: 2.4024 - 0.1604 - 0.0026.
#[test]
fn a_wide_housing_narrows_the_journal() {
    // All of it alike is asked about, and confirmed.
    let wide = housing(48, "main housing", "3", "2.4024");
    let word = confirmed(49, &wide, "main housing");
    let found = plan(&with(&engine(&json!({})), &[prices("95.00"), wide, word]));
    let line = grind_of(&found, "main journal 3");
    assert_eq!(
        line["clearance"],
        "main journal 3: finish it to 2.2394 to 2.2395 in for the clearance in its housing"
    );
    assert_eq!(line["finish"], "0.010 under: 2.2394 to 2.2395 in");
    assert_eq!(grind_of(&found, "main journal 2")["clearance"], Value::Null, "nobody measured its housing");
    assert_eq!(grind_of(&found, "main journal 2")["finish"], "0.010 under: 2.2390 to 2.2395 in");
    // A housing inside new asks for nothing more.
    let found =
        plan(&with(&engine(&json!({})), &[prices("95.00"), housing(48, "main housing", "3", "2.4017")]));
    assert_eq!(grind_of(&found, "main journal 3")["clearance"], Value::Null);
}

/// Hard to 0.010 under: the pins, which need 0.020, are not ground past it unless something hardens them again.
#[test]
fn a_hard_skin_stops_the_stone_or_costs_another() {
    let base = engine(&json!({}));
    let hard = |by: Option<&str>| {
        let mut drops = base.clone();
        let sheet = drops.iter_mut().find(|drop| drop["kind"] == "sheet").unwrap();
        let features = sheet["body"]["features"].as_array_mut().unwrap();
        let pins = features.iter_mut().find(|f| f["feature"] == "crankpin").unwrap();
        pins["sizes"]["hard-to"] = "0.010".into();
        if let Some(by) = by {
            pins["sizes"]["hardened-by"] = by.into();
        }
        drops
    };
    let mut list = prices("95.00");
    list["body"]["operations"]
        .as_array_mut()
        .unwrap()
        .push(json!({"operation": "harden", "price": "130.00", "days": 8}));
    let stopped = plan(&with(&hard(None), &[list.clone()]));
    assert!(!short(&stopped, 0).contains("grind every crankpin"), "{}", short(&stopped, 0));
    let why: Vec<&Value> =
        stopped["refused"].as_array().unwrap().iter().filter(|r| r["group"] == "pins").collect();
    assert!(
        why.iter().any(|r| r["size"] == "0.020 under"
            && r["why"][0].as_str().unwrap().contains("hard skin ends at 0.010 under")),
        "{why:?}"
    );
    let again = plan(&with(&hard(Some("harden")), &[list]));
    let lines = lines_of(&again, 0);
    let harden = lines.iter().filter(|line| line["does"] == "harden").collect::<Vec<_>>();
    assert_eq!(harden.len(), 1, "once for the crank");
    assert_eq!((&harden[0]["on"], &harden[0]["price"]), (&json!("crankshaft"), &json!("130.00")));
    // Stone, skin, crack test, one after the other: shells 2 and 5 days, 8, and 1.
    let least: u64 = [2, 5, 8, 1].into_iter().sum();
    assert!(again["alternatives"][0]["total"]["days"].as_u64().unwrap() >= least);
}

/// The crank is tested again once, whatever is ground on it; a block that is bored is not.
#[test]
fn what_is_ground_is_crack_tested_once() {
    let found = plan(&with(&engine(&json!({})), &[prices("95.00")]));
    let tests: Vec<Value> =
        lines_of(&found, 0).into_iter().filter(|line| line["does"] == "crack test").collect();
    assert_eq!(tests.len(), 1, "{tests:?}");
    assert_eq!((&tests[0]["on"], &tests[0]["price"]), (&json!("crankshaft"), &json!("12.00")));
}

/// Pins ground to 0.020 under, and one of them comes back at 1.9791: of 0.0001 above the lower limit the gauge, which is
/// good to 0.00025, says nothing. At 1.9794 there is something left to take.
#[test]
fn what_is_left_must_be_more_than_the_gauge_tells() {
    let again = |worst: &str| {
        let ground = json!({"operation": "grind", "unit": "in", "finished": "0.020 under",
            "places": [{"feature": "crankpin", "positions": ["all"]}]});
        let mut readings: Vec<Value> =
            ["1", "2", "4"].iter().flat_map(|p| journal("crankpin", p, ["1.9793"; 4])).collect();
        readings.extend(journal("crankpin", "3", ["1.9795", "1.9795", worst, worst]));
        let after = measured(61, "after work", "MIC", readings);
        plan(&with(&engine(&json!({})), &[prices("95.00"), drop_at("operation", 60, ground), after]))
    };
    let found = again("1.9788");
    let why = found["refused"].as_array().unwrap().iter().find(|r| r["group"] == "pins").unwrap().clone();
    assert!(why["why"][0].as_str().unwrap().contains("no metal is left"), "{why}");
    let found = again("1.9791");
    let why = found["refused"].as_array().unwrap().iter().find(|r| r["group"] == "pins").unwrap().clone();
    assert!(why["why"][0].as_str().unwrap().contains("only 0.0001 in is left"), "{why}");
}

/// One bore was sleeved to 0.020 over years ago; a named person keeps it there while the others go to 0.030.
#[test]
fn a_place_kept_apart_keeps_its_size() {
    let apart = json!({"apart": {"unit": "in", "feature": "bore", "positions": ["4"], "size": "0.020 over",
        "why": "only pistons of that size are left", "by": "Rowan Holt"}});
    let found = plan(&with(&engine(&json!({})), &[prices("95.00"), drop_at("decision", 50, apart)]));
    let short = short(&found, 0);
    assert!(
        short.contains("bore 1, 2, 3 to 0.030 over") && short.contains("bore 4 to 0.020 over"),
        "{short}"
    );
    let pistons: Vec<(Value, Value)> = lines_of(&found, 0)
        .into_iter()
        .filter(|line| line["does"] == "buy" && line["on"] == "piston")
        .map(|line| (line["size"].clone(), line["count"].clone()))
        .collect();
    assert_eq!(pistons, [(json!("0.020 over"), json!(1)), (json!("0.030 over"), json!(3))]);
}

/// No oversize pistons at all: the holes are sleeved to standard before anybody buys another block.
#[test]
fn all_are_sleeved_where_no_size_can_be_had() {
    let mut drops = with(&engine(&json!({"aim": "least cost"})), &[prices("95.00")]);
    for (minute, size) in (50..).zip(["0.020", "0.030", "0.040", "0.060"]) {
        let gone = json!({"item": "piston", "unit": "in", "size": format!("{size} over"), "count": 4, "state": "not available"});
        drops.push(drop_at("supply", minute, gone));
    }
    let found = plan(&drops);
    assert!(
        short(&found, 0).starts_with("Sleeve every bore") && !short(&found, 0).contains("another block"),
        "{}",
        short(&found, 0)
    );
    assert!(
        found["refused"]
            .as_array()
            .unwrap()
            .iter()
            .any(|r| r["why"].as_array().unwrap().contains(&json!("its parts cannot be had")))
    );
}

/// E17: a resized rod gets shorter by up to half of what comes off, 0.002 here; said before anybody agrees to it.
#[test]
fn a_resized_rod_gets_shorter() {
    let worn = housing(48, "rod housing", "2", "2.1265");
    let found = plan(&with(
        &engine(&json!({})),
        &[prices("95.00"), worn.clone(), confirmed(49, &worn, "rod housing")],
    ));
    assert!(short(&found, 0).contains("resize rod housing 2"), "{}", short(&found, 0));
    let effects = found["alternatives"][0]["effects"].as_array().unwrap();
    let shorter =
        effects.iter().find(|effect| effect["what"] == "rod centre distance" && effect["where"] == "2");
    // 5.9000 less 0.001 down to nothing.
    assert_eq!(shorter.unwrap()["then"], "5.8990 to 5.9000 in");
}

/// The grinder reads the closer limits too, on the order.
#[test]
fn the_order_says_what_the_clearance_asks() {
    let out = json!({"order": "W-1", "out": {"to": "Stenning Grinding", "operation": "grind",
        "parts": [{"part": "crankshaft", "count": 1}], "places": [{"feature": "main journal", "positions": ["all"]}],
        "unit": "in", "finished": "0.010 under", "due": "2026-04-01"}});
    let wide = housing(48, "main housing", "3", "2.4024");
    let word = confirmed(49, &wide, "main housing");
    let drops = [prices("95.00"), wide, word, drop_at("work-order", 60, out)];
    let view = look(&with(&engine(&json!({})), &drops));
    let order = view.job.orders.values().next().unwrap();
    let words: Vec<String> =
        benchdrop::pages::order_words(&view, order).into_iter().flat_map(|(_, lines)| lines).collect();
    let asked: Vec<&String> = words.iter().filter(|line| line.contains("For the clearance")).collect();
    assert_eq!(asked.len(), 1, "{words:#?}");
    assert!(asked[0].contains("main journal 3: finish it to 2.2394 to 2.2395 in"), "{asked:?}");
}

/// Main housing 3 is out: its caps are cut and honed back; under a bedplate they are not cut one by one.
#[test]
fn a_bedplate_is_not_cut_cap_by_cap() {
    let worn = housing(48, "main housing", "3", "2.4035");
    let base =
        with(&engine(&json!({})), &[prices("95.00"), worn.clone(), confirmed(49, &worn, "main housing")]);
    assert!(short(&plan(&base), 0).contains("line hone main housing 3"), "{}", short(&plan(&base), 0));
    let mut drops = base.clone();
    let sheet = drops.iter_mut().find(|drop| drop["kind"] == "sheet").unwrap();
    sheet["body"]["engine"]["bedplate"] = true.into();
    // Another block would do too; there is none.
    drops.push(drop_at("supply", 52, json!({"item": "block", "count": 1, "state": "not available"})));
    let said: Vec<Value> =
        lines_of(&plan(&drops), 0).into_iter().filter(|line| line["does"] == "nothing").collect();
    assert_eq!((said.len(), &said[0]["on"]), (1, &json!("main housing 3")));
    assert!(said[0]["why"][0].as_str().unwrap().contains("a bedplate is one part"), "{said:?}");
}
