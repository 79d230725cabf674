//! What is known already fills a section: nobody copies it by hand. What a person must see for themselves stays empty.

use crate::bench::Bench;
use crate::support::drop_at;
use serde_json::{Value, json};

/// A journal that is ground, and its order went out.
fn agreed() -> Value {
    let work = json!([{"operation": "grind", "feature": "main journal", "positions": ["3"], "finished": "0.010 under"}]);
    drop_at("decision", 50, json!({"agreed-work": {"unit": "in", "work": work, "agreed-by": "RH"}}))
}

fn sent() -> Value {
    let out = json!({"to": "Stenning Grinding", "operation": "grind", "unit": "in", "finished": "0.010 under",
        "parts": [{"part": "crankshaft", "count": 1}], "places": [{"feature": "main journal", "positions": ["3"]}],
        "due": "2026-03-20"});
    drop_at("work-order", 51, json!({"order": "W-7", "out": out}))
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn agreed_work_goes_out_and_comes_back_without_being_typed_again() {
    let bench = Bench::after(&[agreed()]);
    let order = bench.section("work-order");
    order.pick("", "data-fills", "send out: grind main journal 0.010 under");
    order.write("order", "W-7").write("out/to", "Stenning Grinding");
    bench.browser.run("document.querySelector('#work-order [data-key=due] input').value = '2026-03-20'");
    let sent = json!({"order": "W-7", "out": {"to": "Stenning Grinding", "operation": "grind", "unit": "in",
        "parts": [{"part": "crankshaft", "count": 1}], "finished": "0.010 under", "due": "2026-03-20",
        "places": [{"feature": "main journal", "positions": ["3"]}]}});
    order.save().says("work-order", &sent);
    // What the shells are to be, counted by the sheet.
    let wanted = bench.section("supply");
    wanted.pick("", "data-fills", "main shell");
    wanted.choose("state", "available");
    let said = wanted.save().json();
    assert_eq!(said["body"]["item"], "main shell");
    assert!(said["body"]["count"].as_u64().unwrap() > 0 && said["body"]["state"] == "available", "{said}");
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn an_order_comes_back_with_its_parts_and_the_size_is_read() {
    let bench = Bench::after(&[agreed(), sent()]);
    let order = bench.section("work-order");
    order.pick("", "data-fills", "W-7 is back");
    assert_eq!(order.shown("back/finished"), "", "the size is read off the part");
    order.choose("back/result", "accepted").write("back/finished", "0.010 under");
    let said = order.save().json();
    assert_eq!(
        said["body"],
        json!({"order": "W-7", "back": {"parts": [{"part": "crankshaft", "count": 1}], "result": "accepted", "unit": "in",
            "finished": "0.010 under"}})
    );
}
