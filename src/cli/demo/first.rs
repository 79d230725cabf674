//! The first engine, from its check-in to the hand-over. Two things go wrong at the bench and are caught.

use super::bench::{Bench, Cut, is, list, text, with};
use super::scenario::{
    BORE, BORES, JOURNAL, MAIN_4, MAIN_4_SWAPPED, MAINS, MAINS_GROUND, OTHER_WALLS, OTHER_WALLS_BORED,
    OTHERS, PIN_3_AGAIN, PINS, PINS_GROUND, THRUST, WALLS, WALLS_BORED, readings,
};
use crate::facts::Digest;
use serde_json::{Value, json};

/// What becomes too large or too small is cut to.
pub(super) const CUTS: [Cut; 3] = [
    Cut { feature: "bore", size: "0.030 over" },
    Cut { feature: "main journal", size: "0.010 under" },
    Cut { feature: "crankpin", size: "0.020 under" },
];

pub(super) fn check_in(bench: &mut Bench) {
    let body = json!({
        "sheet": "OV-24",
        "customer": { "name": "Ferrowmere Mill", "reach": "mill@ferrowmere.example" },
        "engine": { "serial": "OV24-00317", "castings": ["7714-B"] },
        "scope": ["complete"],
        "complaint": "low oil pressure when hot, smokes on the way down",
        "remarks": "bore 2 and crankpin 2 are scored",
        "hours": "6,200 hours", "fluids": "oil, coolant drained", "place": "stand 2",
        "missing": ["dipstick"], "pictures": ["24-017-arrival.jpg"],
        "wishes": { "aim": "least cost", "ceiling": "3,500.00" },
        "approver": "Ines Ferrow",
        "promised": bench.day(12),
    });
    bench.write("check-in", "check-in", "RH", &body);
    bench.answer("checked in");
    let leave = json!({"authority": {"granted": true, "by": "Ines Ferrow", "how": "mail", "price": "180.00",
        "if-declined": "collected as it lies"}});
    bench.write("leave", "decision", "RH", &leave);
}

pub(super) fn teardown(bench: &mut Bench) {
    bench.later(2);
    bench.take_apart();
    bench.sign("teardown");
}

fn set(gauge: &str, readings: Vec<Value>) -> Value {
    json!({"condition": "as received", "gauge": gauge, "unit": "in", "readings": readings})
}

pub(super) fn findings(bench: &mut Bench) {
    bench.later(6);
    bench.answer("inspection");
    bench.look();
    let bad = json!({"findings": [
        {"part": "block", "where": "bore 2, thrust side", "defect": "scoring", "severity": 3, "note": "felt with a nail",
         "score": {"feature": "bore", "position": "2", "station": "middle", "direction": "X", "unit": "in", "depth": "0.009",
             "within": "0.001"},
         "pictures": ["24-017-bore-2.jpg"], "disposition": "machine"},
        {"part": "crankshaft", "where": "crankpin 2, towards the main axis", "defect": "scoring", "severity": 3,
         "score": {"feature": "crankpin", "position": "2", "station": "rear", "direction": "Y", "unit": "in", "depth": "0.004",
             "within": "0.001"}, "disposition": "machine"},
        {"part": "piston", "positions": ["2"], "where": "skirt", "defect": "scoring", "severity": 3,
         "pictures": ["24-017-piston-2.jpg"], "disposition": "replace as a set"}]});
    bench.write("found", "finding", "LM", &bad);
    let pistons = json!({"disposition": {"part": "piston", "positions": ["all"], "what": "replace as a set",
        "why": "bored to the next size", "by": "Rowan Holt"}});
    bench.write("pistons", "decision", "RH", &pistons);
}

/// Bores and the readings of everything else; gives the text of the bores for a copy.
pub(super) fn bores(bench: &mut Bench) -> String {
    let bores = bench.write("bores", "measurements", "LM", &set("BORE-1", readings("bore", &BORE, &BORES)));
    walls(bench, "as received", "read", &[WALLS, OTHER_WALLS]);
    bench.read("as received", &["bore", "main journal", "crankpin", THRUST, OTHERS]);
    bores
}

/// The walls beside each bore, and the same when the bores have taken half of 0.030 from them.
fn walls(bench: &mut Bench, condition: &str, word: &str, values: &[[&str; 4]; 2]) {
    for (key, values) in [THRUST, OTHERS].into_iter().zip(values) {
        let feature = bench.feature(key);
        bench.measure_each(&feature, condition, word, values);
    }
}

/// The main journals, the fourth with its digits swapped; gives the text of that one.
pub(super) fn mains(bench: &mut Bench) -> String {
    let mains = set("MIC-23", readings("main journal", &JOURNAL, &MAINS));
    bench.write("mains", "measurements", "LM", &mains);
    let swapped = set("MIC-23", readings("main journal", &JOURNAL, &MAIN_4_SWAPPED));
    bench.write("main 4", "measurements", "LM", &swapped)
}

pub(super) fn pins(bench: &mut Bench) {
    bench.write("pins", "measurements", "LM", &set("MIC-12", readings("crankpin", &JOURNAL, &PINS)));
}

pub(super) fn correction(bench: &mut Bench, wrong: &str) {
    let corrects = json!({"corrects": {"drop": Digest::of(wrong.as_bytes()).short(), "why": "digits swapped while typing"}});
    let right = set("MIC-23", readings("main journal", &JOURNAL, &MAIN_4));
    bench.write("main 4 again", "measurements", "LM", &with(right, &corrects));
}

/// The first plan is agreed to and paid for, parts are here, the inspection is signed.
pub(super) fn agree(bench: &mut Bench, plan: &Value) {
    bench.later(14);
    let drops = plan.pointer("/alternatives/0/drops").cloned().unwrap_or_default();
    let of = |drop: &str, key: &str| drops.pointer(&format!("/{drop}/{key}")).cloned().unwrap_or_default();
    let agreed = with(of("agreed-work", "agreed-work"), &json!({"agreed-by": "Rowan Holt"}));
    bench.write("agreed work", "decision", "RH", &json!({"agreed-work": agreed}));
    let most = json!({"expires": bench.day(30), "not-to-exceed": "3400.00"});
    let estimate = with(of("estimate", "estimate"), &most);
    bench.write("estimate", "account", "RH", &json!({"estimate": estimate}));
    let approval = json!({"approval": {"granted": true, "by": "Ines Ferrow", "how": "mail"}});
    bench.write("approval", "decision", "RH", &approval);
    bench.write("deposit", "account", "RH", &json!({"deposit": {"amount": "800.00"}}));
    for part in bench.rows("parts") {
        if let Some(cut) = bench.cut_of_group(text(&part, "sized-by")) {
            let count = list(&part, "positions").len().max(1);
            let here = json!({"item": text(&part, "part"), "unit": "in", "size": cut.size, "count": count,
                "state": "received", "stamped": cut.size, "supplier": "Halden Parts", "price": "120.00"});
            bench.write(&format!("here {}", text(&part, "part")), "supply", "RH", &here);
        }
    }
    bench.sign("inspection");
}

/// The crankshaft goes out and comes back; the block is bored in the house.
pub(super) fn machine(bench: &mut Bench) {
    bench.later(3);
    let parts = json!([{"part": "crankshaft", "count": 1}]);
    for (order, feature, size) in
        [("W-31", "main journal", "0.010 under"), ("W-32", "crankpin", "0.020 under")]
    {
        let out = json!({"order": order, "out": {"to": "Stenning Grinding", "operation": "grind", "parts": parts,
            "places": [{"feature": feature, "positions": ["all"]}], "unit": "in", "finished": size,
            "tolerance": "all alike, middle of the limits", "finish": "10 to 15 microinch Ra",
            "untouched": "thrust faces, seal track", "supplied": ["the new shells, to measure"],
            "due": bench.day(2), "price": "140.00", "carried-by": "Lin Marr"}});
        bench.write(&format!("order {order} out"), "work-order", "RH", &out);
    }
    bench.later(30);
    for (order, size) in [("W-31", "0.010 under"), ("W-32", "0.020 under")] {
        let back = json!({"order": order, "back": {"parts": parts, "result": "accepted", "unit": "in",
            "finished": size, "demagnetised": true}});
        bench.write(&format!("order {order} back"), "work-order", "LM", &back);
    }
    let bored = json!({"operation": "bore and hone", "unit": "in", "finished": "0.030 over", "with": "boring bar",
        "places": [{"feature": "bore", "positions": ["all"]}]});
    bench.write("bored", "operation", "OS", &bored);
}

pub(super) fn measure_again(bench: &mut Bench) {
    let mains = set("MIC-23", readings("main journal", &JOURNAL, &MAINS_GROUND));
    let mains = with(mains, &json!({"condition": "after work"}));
    bench.write("mains ground", "measurements", "LM", &mains);
    let pins = set("MIC-12", readings("crankpin", &JOURNAL, &PINS_GROUND));
    bench.write("pins ground", "measurements", "LM", &with(pins, &json!({"condition": "after work"})));
    let bore = bench.feature("bore");
    bench.measure(&bore, "after work", "again");
    walls(bench, "after work", "again", &[WALLS_BORED, OTHER_WALLS_BORED]);
    crack_tested(bench, "crack test again");
    for part in bench.rows("parts") {
        let group = text(&part, "sized-by").to_owned();
        let Some(cut) = bench.cut_of_group(&group) else { continue };
        let replaced = json!({"event": "replaced", "state": "new", "unit": "in", "why": "bought in the new size",
            "stamps": [{"group": group, "size": cut.size}]});
        bench.part("new", &part, &replaced);
        for feature in bench.asked("as received").iter().filter(|f| text(f, "part") == text(&part, "part")) {
            bench.measure_new(feature);
        }
    }
}

/// The third crankpin is tapered: the crankshaft goes back to the grinder, and is measured and tested once more.
pub(super) fn back_to_the_grinder(bench: &mut Bench) {
    let parts = json!([{"part": "crankshaft", "count": 1}]);
    let places = json!([{"feature": "crankpin", "positions": ["3"]}]);
    let out = json!({"order": "W-34", "out": {"to": "Stenning Grinding", "operation": "grind", "parts": parts, "places": places,
        "unit": "in", "finished": "0.020 under", "tolerance": "crankpin 3 is 0.0004 larger at the front", "untouched": "all others",
        "due": bench.day(1), "price": "0.00", "carried-by": "Lin Marr"}});
    bench.write("order W-34 out", "work-order", "RH", &out);
    bench.later(8);
    let back = json!({"order": "W-34", "back": {"parts": parts, "result": "accepted", "unit": "in", "finished": "0.020 under",
        "demagnetised": true}});
    bench.write("order W-34 back", "work-order", "LM", &back);
    let pin = set("MIC-12", readings("crankpin", &JOURNAL, &PIN_3_AGAIN));
    bench.write("pin 3 again", "measurements", "LM", &with(pin, &json!({"condition": "after work"})));
    crack_tested(bench, "crack test after W-34");
}

fn crack_tested(bench: &mut Bench, name: &str) {
    let test = json!({"findings": [{"part": "crankshaft", "defect": "nothing found", "severity": 0,
        "test": {"kind": "magnetic particle", "result": "passed", "how": "wet, after grinding"}}]});
    bench.write(name, "finding", "LM", &test);
}

/// The final clean; six of the seven gallery plugs are counted in.
pub(super) fn plug_left_out(bench: &mut Bench) {
    bench.later(2);
    bench.answer("machining");
    for group in bench.rows("plugs").iter().filter(|group| text(group, "group") != "G20") {
        let state = if is(group, "renewed") { "replaced" } else { "used" };
        bench.count("plugs in", group, state, &json!({}));
    }
    bench.write("plugs in G20", "hardware", "LM", &gallery_plugs(2));
}

fn gallery_plugs(small: u32) -> Value {
    json!({"group": "G20", "state": "used",
        "pieces": [{"size": "1/4-18 NPT", "count": 4}, {"size": "1/8-27 NPT", "count": small}]})
}

/// The seventh is found behind the timing cover.
pub(super) fn plug_found(bench: &mut Bench) {
    bench.write("plugs in G20 again", "hardware", "LM", &gallery_plugs(3));
    bench.sign("machining");
}

/// Measured as fitted, fitted, tightened; the head with its old bolts. Gives the text of that tightening.
pub(super) fn old_head_bolts(bench: &mut Bench) -> String {
    bench.later(12);
    bench.read("at assembly", &[]);
    for part in bench.rows("parts").iter().filter(|part| is(part, "fitted")) {
        let cut = bench.cut_of_group(text(part, "sized-by"));
        let new = is(part, "renewed") || cut.is_some();
        let mut fitted = json!({"part": text(part, "part"), "state": if new { "new" } else { "used" }});
        if let Some(cut) = cut {
            fitted = with(fitted, &json!({"size": cut.size}));
        }
        if matches!(text(part, "part"), "piston" | "main cap") {
            fitted = with(fitted, &json!({"way-round": "arrow to the front"}));
        }
        let body = json!({"unit": "in", "fitted": [fitted]});
        bench.write(&format!("fitted {}", text(part, "part")), "assembly", "LM", &body);
    }
    for group in bench.rows("fasteners").iter().filter(|group| text(group, "group") != "G03") {
        let torque = tightened(group, if all_new(group) { "new" } else { "used" });
        bench.write(&format!("tightened {}", text(group, "group")), "assembly", "LM", &torque);
        let state = if all_new(group) { "replaced" } else { "used" };
        bench.count("bolts in", group, state, &json!({}));
        new_beside(bench, group);
    }
    let head = head_bolts(bench);
    bench.write("tightened G03", "assembly", "LM", &tightened(&head, "used"))
}

/// Every piece of the group is new when it goes in.
fn all_new(group: &Value) -> bool {
    let new = |size: &Value| list(group, "always-new").iter().any(|new| new.get("what") == size.get("size"));
    is(group, "single-use") || list(group, "sizes").iter().all(new)
}

/// Nuts and washers that are always new.
fn new_beside(bench: &mut Bench, group: &Value) {
    let is_size = |new: &Value| list(group, "sizes").iter().any(|size| size.get("size") == new.get("what"));
    for new in list(group, "always-new").iter().filter(|new| !is_size(new)) {
        let pieces = json!([{"size": new.get("what"), "count": new.get("count")}]);
        let body = json!({"group": text(group, "group"), "state": "replaced", "pieces": pieces});
        bench.write(&format!("new {} {}", text(group, "group"), text(new, "what")), "hardware", "LM", &body);
    }
}

fn head_bolts(bench: &Bench) -> Value {
    bench.rows("fasteners").into_iter().find(|group| text(group, "group") == "G03").unwrap_or_default()
}

fn tightened(group: &Value, bolts: &str) -> Value {
    json!({"torque": [{"group": text(group, "group"), "lubricant": group.get("lubricant"), "wrench": wrench(group),
        "bolts": bolts}]})
}

/// The small wrench for what the big one does not reach down to.
fn wrench(group: &Value) -> &'static str {
    let own = list(group, "stages").last();
    let of_sizes = list(group, "sizes").iter().filter_map(|size| list(size, "stages").last());
    let mut last = own.into_iter().chain(of_sizes).filter_map(|digits| digits.as_str()?.parse::<f64>().ok());
    if last.any(|torque| torque < 20.0) { "TW-2" } else { "TW-1" }
}

/// The head comes off again and goes on with new bolts.
pub(super) fn new_head_bolts(bench: &mut Bench, wrong: &str) {
    let void = json!({"drop": Digest::of(wrong.as_bytes()).short(),
        "why": "the head came off again: its bolts are used once"});
    bench.write("not the old bolts", "withdrawal", "LM", &void);
    let head = head_bolts(bench);
    bench.write("tightened G03 again", "assembly", "LM", &tightened(&head, "new"));
    bench.count("bolts in", &head, "replaced", &json!({}));
    bench.answer("reassembly");
    for group in bench.rows("pins") {
        bench.count("pins in", &group, "used", &json!({}));
    }
    bench.sign("reassembly");
}

pub(super) fn hand_over(bench: &mut Bench) {
    bench.later(8);
    bench.answer("released");
    let hours = json!({"hours": {"hours": "24.50", "what": "teardown to first start"}});
    bench.write("hours", "account", "LM", &hours);
    bench.write("price", "account", "RH", &json!({"price": {"amount": "3050.00"}}));
    bench.write("paid", "account", "RH", &json!({"paid": {"amount": "2250.00", "how": "transfer"}}));
    bench.sign("engine");
    let delivered = json!({"step": "delivered", "name": "Rowan Holt", "old-parts": "offered back"});
    bench.write("delivered", "sign-off", "RH", &delivered);
}
