//! The plan of the invented engine against the plan computed apart from this project (`data/ov24_truth.json`), and what
//! availability, walls, wishes, prices and decisions make of it.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "plan/held.rs"]
mod held;
#[path = "plan/parts.rs"]
mod parts;
#[path = "plan/returned.rs"]
mod returned;
#[path = "plan/sizes.rs"]
mod sizes;
mod support;
#[path = "plan/words.rs"]
mod words;

use benchdrop::pages::{plan_json, plan_text};
use serde_json::{Value, json};
use support::*;

fn truth() -> Value {
    serde_json::from_str(include_str!("data/ov24_truth.json")).unwrap()
}

/// The readings of the tables, the scores, the walls and the unworn bands.
fn engine(wishes: &Value) -> Vec<Value> {
    let truth = truth();
    let mut drops = gauges();
    drops.push(serde_json::from_str(OV24).unwrap());
    drops.push(house_rules(0));
    drops.push(short_block_in(10, wishes));
    let tables = [("bores", "bore", "BORE"), ("mains", "main journal", "MIC"), ("pins", "crankpin", "MIC")];
    for (minute, (table, feature, gauge)) in (20..).zip(tables) {
        let mut readings = Vec::new();
        for (position, row) in truth[table].as_object().unwrap() {
            for (place, value) in row["readings"].as_object().unwrap() {
                let (station, direction) = place.split_once(' ').unwrap();
                readings.push(reading(feature, position, station, direction, value.as_str().unwrap()));
            }
        }
        drops.push(measured(minute, "as received", gauge, readings));
    }
    let unworn = ["1", "2", "3", "4"].map(|p| reading("bore", p, "unworn", "X", "3.6110")).to_vec();
    drops.push(measured(29, "as received", "BORE", unworn));
    for (minute, (feature, key)) in
        (30..).zip([("wall on the thrust side", "thrust"), ("wall on other sides", "other")])
    {
        let walls = truth["plan"]["walls_std"][key].as_array().unwrap();
        let wall = |(index, value): (usize, &Value)| {
            json!({"feature": feature, "position": (index + 1).to_string(),
            "value": value.as_str().unwrap()})
        };
        let readings: Vec<Value> = walls.iter().enumerate().map(wall).collect();
        drops.push(drop_at(
            "measurements",
            minute,
            json!({"condition": "as received", "unit": "in", "readings": readings}),
        ));
    }
    drops.push(drop_at(
        "decision",
        34,
        json!({"disposition": {"part": "piston", "positions": ["all"],
        "what": "replace as a set", "why": "one is scored", "by": "Rowan Holt"}}),
    ));
    drops.push(score(35, "block", "bore", &truth["bores"]["2"]["score"]));
    drops.push(score(36, "crankshaft", "crankpin", &truth["pins"]["2"]["score"]));
    drops
}

fn score(minute: u32, part: &str, feature: &str, score: &Value) -> Value {
    let (station, direction) = score["station"].as_str().unwrap().split_once(' ').unwrap();
    let station = if station == "mid" { "middle" } else { station };
    drop_at(
        "finding",
        minute,
        json!({"findings": [{"part": part, "defect": "scoring", "severity": 3,
        "score": {"feature": feature, "position": "2", "station": station, "direction": direction, "unit": "in",
            "depth": score["depth"], "within": truth()["facts"]["score_depth_half_interval"]}}]}),
    )
}

/// A price list of the shop's own; every number is invented.
fn prices(sleeve: &str) -> Value {
    let work = |operation: &str, price: &str, days: u32| json!({"operation": operation, "price": price, "days": days});
    let part = |part: &str, price: &str, days: u32| json!({"part": part, "price": price, "days": days});
    let mut grind = work("grind", "30.00", 5);
    grind["once"] = "60.00".into();
    shop_drop(
        "price-list",
        1,
        json!({"revision": 1, "currency": "crowns", "hour": "65.00",
        "operations": [work("bore and hone", "45.00", 3), work("sleeve", sleeve, 6), grind, work("weld", "150.00", 10),
            work("crack test", "12.00", 1)],
        "parts": [part("piston", "78.00", 4), part("ring set", "35.00", 4), part("main shell", "14.00", 2),
            part("rod shell", "12.00", 2), part("block", "1900.00", 20), part("crankshaft", "820.00", 12), part("thrust bearing", "18.00", 2), part("cam bearing", "9.00", 2),
            part("gasket set", "110.00", 2), part("front crank seal", "9.00", 2), part("rear crank seal", "14.00", 2),
            part("G02 connecting rods bolts", "40.00", 2), part("G21 core plugs", "2.00", 2),
            // They come with their bolts.
            part("G02 connecting rods nuts", "0.00", 2)],
        "labour": [{"what": "teardown to assembly", "hours": "18.5"}]}),
    )
}

fn plan(drops: &[Value]) -> Value {
    plan_json(&look(drops))
}

fn short(plan: &Value, index: usize) -> &str {
    plan["alternatives"][index]["in-short"].as_str().unwrap()
}

#[test]
fn the_computed_plan_comes_out() {
    let truth = truth();
    let plan = plan(&with(&engine(&json!({})), &[prices("95.00")]));
    assert_eq!(
        short(&plan, 0),
        "Bore and hone every bore to 0.030 over; grind every main journal to 0.010 under; grind every crankpin to 0.020 under."
    );
    let lines = plan["alternatives"][0]["lines"].as_array().unwrap();
    let finish =
        |on: &str| lines.iter().find(|line| line["on"] == on).unwrap()["finish"].as_str().unwrap().to_owned();
    let range = |key: &str| {
        let ends = truth["plan"][key].as_array().unwrap();
        format!("{} to {} in", ends[0].as_str().unwrap(), ends[1].as_str().unwrap())
    };
    assert_eq!(finish("bore 1"), format!("0.030 over: {}", range("bores_finish")));
    assert_eq!(finish("main journal 5"), format!("0.010 under: {}", range("mains_finish")));
    assert_eq!(finish("crankpin 2"), format!("0.020 under: {}", range("pins_finish")));
    // The walls that are left are said beside the bore they belong to.
    for (index, left) in truth["plan"]["walls_at_0.030"]["thrust"].as_array().unwrap().iter().enumerate() {
        let bore = lines.iter().find(|line| line["on"] == format!("bore {}", index + 1).as_str()).unwrap();
        assert_eq!(
            bore["walls"][0],
            json!({"wall": format!("wall on the thrust side {}", index + 1),
            "left": format!("{}0", left.as_str().unwrap()), "least": "0.1200"})
        );
    }
}

/// The scored surfaces: safe and optimistic finish, and the U of the table: 0.0024 and 0.0023 for bore 2, 0.0024 for pin 2.
#[test]
fn scores_count_twice() {
    let truth = truth();
    let plan = plan(&engine(&json!({})));
    let need = |name: &str| {
        plan["needs"].as_array().unwrap().iter().find(|need| need["surface"] == name).unwrap().clone()
    };
    for (table, name, sizes) in [("bores", "bore 2", "oversize"), ("pins", "crankpin 2", "regrind")] {
        let (need, row) = (need(name), &truth[table]["2"]);
        assert_eq!(need["safe"], row["safe"]);
        assert_eq!(need["optimistic"], row["optimistic"]);
        assert_eq!(need["size"], row[format!("{sizes}_safe")]);
        assert_eq!(need["optimistic-size"], row[format!("{sizes}_optimistic")]);
        assert_eq!(need["safe-uncertainty"], "0.0024");
    }
    assert_eq!(need("bore 2")["optimistic-uncertainty"], "0.0023");
}

/// Where metal matters more than money, the scored bore is sleeved and all four go to the next size only; where +0.030
/// cannot be had and sleeves are dear, all go to +0.040.
#[test]
fn other_aims_give_other_plans() {
    let sleeved = "Bore and hone bore 1, 3, 4 to 0.020 over; sleeve bore 2 to 0.020 over; grind every main journal to \
        0.010 under";
    let metal = plan(&with(&engine(&json!({"aim": "least metal"})), &[prices("95.00")]));
    assert!(short(&metal, 0).starts_with(sleeved), "{}", short(&metal, 0));
    assert!(short(&metal, 1).contains("every bore to 0.030 over"), "{}", short(&metal, 1));
    let gone = drop_at(
        "supply",
        40,
        json!({"item": "piston", "unit": "in", "size": "0.030 over", "count": 4,
        "state": "not available"}),
    );
    let dear = plan(&with(&engine(&json!({"aim": "least cost"})), &[prices("400.00"), gone.clone()]));
    assert!(short(&dear, 0).contains("every bore to 0.040 over"), "{}", short(&dear, 0));
    let cheap = plan(&with(&engine(&json!({"aim": "least cost"})), &[prices("20.00"), gone]));
    assert!(short(&cheap, 0).starts_with(sleeved), "{}", short(&cheap, 0));
}

/// A crank is given up when another one costs less than what this one needs, both of its groups looked at together: either
/// group alone would be ground.
#[test]
fn a_part_is_weighed_with_all_that_is_on_it() {
    let mut list = prices("95.00");
    list["body"]["parts"][5]["price"] = "350.00".into();
    let plan = plan(&with(&engine(&json!({"aim": "least cost"})), &[list]));
    // Grinding: 5 x 30 + 60 and 4 x 30 + 60 are 390, and the crack test 12 more; the other crank is 350.
    assert!(short(&plan, 0).contains("another crankshaft"), "{}", short(&plan, 0));
    assert!(short(&plan, 1).contains("grind every main journal"), "{}", short(&plan, 1));
}

/// Wishes: the standard bore is kept by sleeves where that can be had, and it is said when it cannot; a ceiling bounds the
/// choice, and it is said when nothing costs so little.
#[test]
fn wishes_steer_and_are_answered() {
    let wishes = |plan: &Value| {
        plan["wishes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|w| w["words"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    let keep = plan(&with(&engine(&json!({"keep-standard-bore": true})), &[prices("95.00")]));
    assert!(short(&keep, 0).contains("to standard"), "{}", short(&keep, 0));
    assert_eq!(wishes(&keep), ["the standard bore is kept"]);
    let low = plan(&with(&engine(&json!({"aim": "least metal", "ceiling": "100.00"})), &[prices("95.00")]));
    assert!(
        wishes(&low)[1].starts_with("nothing costs less than the ceiling of 100.00"),
        "{:?}",
        wishes(&low)
    );
}

/// A wall that would be too thin stops a size, and the next remedy is tried.
#[test]
fn thin_walls_stop_a_size() {
    let thin = json!({"feature": "wall on the thrust side", "position": "2", "value": "0.130"});
    let thin = drop_at(
        "measurements",
        45,
        json!({"condition": "as received", "unit": "in", "readings": [thin],
        "corrects": {"drop": fact(&engine(&json!({}))[10]).id.hex(), "why": "core shift, read again"}}),
    );
    let plan = plan(&with(&engine(&json!({})), &[thin, prices("95.00")]));
    // 0.130 - 0.015 = 0.115 is less than 0.120; at +0.020 0.120 is left, but the score stays.
    assert!(short(&plan, 0).contains("sleeve bore 2 to 0.020 over"), "{}", short(&plan, 0));
}

/// Every line of every alternative has its reasons, and the page says what it does not look at.
#[test]
fn every_line_has_reasons() {
    let view = look(&with(&engine(&json!({})), &[prices("95.00")]));
    let plan = plan_json(&view);
    let mut lines = 0;
    for alternative in plan["alternatives"].as_array().unwrap() {
        for line in alternative["lines"].as_array().unwrap() {
            assert!(!line["why"].as_array().unwrap().is_empty(), "{line:#}");
            lines += 1;
        }
    }
    assert!(lines > 30, "{lines}");
    let text = plan_text(&view);
    assert!(text.contains("Not looked at: fillets"), "{text}");
}

/// What has no price is never called cheap, nor quick what has no time; the usual order leads then, and it is said why.
#[test]
fn without_prices_nothing_is_called_cheap() {
    let plan = plan(&engine(&json!({"aim": "least cost"})));
    let serves: Vec<&Value> = plan["alternatives"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|a| a["serves"].as_array().unwrap())
        .collect();
    assert!(!serves.contains(&&json!("least cost")) && !serves.contains(&&json!("soonest")), "{serves:?}");
    assert!(short(&plan, 0).contains("every bore to 0.030 over"), "{}", short(&plan, 0));
    assert_eq!(plan["wishes"][0]["words"], "least cost cannot be told: prices or times are missing");
    assert_eq!(plan["wishes"][0]["kept"], false);
}

/// Once it is together nothing is planned, and its page says so.
#[test]
fn an_engine_that_is_together_has_no_plan() {
    let signed = drop_at("sign-off", 60, json!({"step": "reassembly", "name": "Rowan Holt"}));
    let view = look(&with(&engine(&json!({})), &[signed]));
    assert!(view.proposal().is_none());
    assert!(plan_text(&view).contains("Nothing is planned any more"));
}

/// A part that is given up is given up by a decision: the plan has its drop, and no agreed work where none is done.
#[test]
fn giving_a_part_up_is_a_drop_too() {
    let mut list = prices("95.00");
    list["body"]["parts"][5]["price"] = "350.00".into();
    let plan = plan(&with(&engine(&json!({"aim": "least cost"})), &[list]));
    let drops = &plan["alternatives"][0]["drops"];
    assert_eq!(drops["dispositions"], json!([{"disposition": {"part": "crankshaft", "what": "replace"}}]));
    assert_eq!(drops["agreed-work"]["agreed-work"]["work"][0]["feature"], "bore");
}

fn lines_of(plan: &Value, index: usize) -> Vec<Value> {
    plan["alternatives"][index]["lines"].as_array().unwrap().clone()
}

/// A typing slip moves no plan: what is questioned is kept out of it, at journals and at walls.
#[test]
fn a_questioned_reading_moves_no_plan() {
    let fine = |feature: &str, count: u32, values: [&str; 4]| -> Vec<Value> {
        (1..=count).flat_map(|position| journal(feature, &position.to_string(), values)).collect()
    };
    let mut drops = shop_with_engine();
    drops.push(measured(20, "as received", "MIC", fine("main journal", 3, ["2.2488"; 4])));
    drops.push(measured(21, "as received", "MIC", journal("main journal", "4", ["2.4288"; 4])));
    drops.push(measured(22, "as received", "MIC", fine("crankpin", 4, ["1.9987"; 4])));
    let view = look(&drops);
    assert_eq!(view.judgement.questions.len(), 4);
    assert_eq!(
        short(&plan_json(&view), 0),
        "Nothing needs machining or replacing by what is measured and found so far."
    );
}

/// What is decided and cannot be had is said; the engine's other work does not leave the plan with it.
#[test]
fn what_is_decided_and_cannot_be_had_is_said() {
    let replace = drop_at(
        "decision",
        50,
        json!({"disposition": {"part": "crankshaft", "what": "replace", "why": "bent",
        "by": "Rowan Holt"}}),
    );
    let gone = drop_at("supply", 51, json!({"item": "crankshaft", "count": 1, "state": "not available"}));
    let plan = plan(&with(&engine(&json!({})), &[prices("95.00"), replace, gone]));
    let lines = lines_of(&plan, 0);
    let said = lines.iter().find(|line| line["does"] == "nothing").unwrap();
    assert_eq!(
        (&said["on"], &said["why"][0]),
        (&json!("crankshaft"), &json!("it is to be replaced, and no other can be had"))
    );
    assert!(short(&plan, 0).contains("every bore to 0.030 over"));
}

/// Every line of a face at one value.
fn face(feature: &str, value: &str) -> Vec<Value> {
    let lines = [
        "front to rear, cam side",
        "front to rear, middle",
        "front to rear, plug side",
        "diagonal 1",
        "diagonal 2",
        "across",
    ];
    let reading = |line: &str| json!({"feature": feature, "position": "1", "station": line, "value": value});
    lines.map(reading).to_vec()
}

fn deck_heights() -> Vec<Value> {
    let corners = ["front, cam side", "front, plug side", "rear, cam side", "rear, plug side"];
    corners
        .map(
            |corner| json!({"feature": "deck height", "position": "1", "station": corner, "value": "9.2500"}),
        )
        .to_vec()
}

/// Readings without a gauge.
fn as_received(minute: u32, readings: Vec<Value>) -> Value {
    drop_at("measurements", minute, json!({"condition": "as received", "unit": "in", "readings": readings}))
}

/// One cut puts a face right, however many rows judge it, by the worst of them, those too that are inside.
#[test]
fn one_face_is_cut_once() {
    let drops = with(
        &engine(&json!({})),
        &[
            prices("95.00"),
            as_received(50, face("deck flatness", "0.0055")),
            as_received(51, face("deck flatness in 6 in", "0.0040")),
            as_received(52, deck_heights()),
        ],
    );
    let plan = plan(&drops);
    let cuts: Vec<Value> = lines_of(&plan, 0).into_iter().filter(|line| line["does"] == "deck").collect();
    assert_eq!(cuts.len(), 1, "{cuts:#?}");
    assert_eq!(cuts[0]["finish"], "at least 0.0055 in off, until flat");
}
