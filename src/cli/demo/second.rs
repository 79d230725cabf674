//! The second engine, half way: it is apart, something was found, an order is late and the customer has not answered.

use super::bench::Bench;
use super::scenario::{JOURNAL, readings};
use serde_json::json;

/// Crankpins as received: the second is worn, the last reading of the third has its digits swapped.
const PINS: [(&str, &[&str]); 3] = [
    ("1", &["45.988", "45.986", "45.988", "45.987"]),
    ("2", &["45.944", "45.931", "45.943", "45.930"]),
    ("3", &["45.988", "45.987", "45.988", "54.987"]),
];

pub(super) fn half_way(bench: &mut Bench) {
    let body = json!({
        "sheet": "KD-3",
        "customer": { "name": "Corrant Boatyard", "reach": "555 0142" },
        "engine": { "serial": "KD3-0291" },
        "scope": ["complete"],
        "complaint": "overheated, water in the oil",
        "place": "bench 1", "approver": "Tam Corrant",
        "promised": bench.day(20),
    });
    bench.write("check-in", "check-in", "RH", &body);
    bench.answer("checked in");
    let leave = json!({"authority": {"granted": true, "by": "Tam Corrant", "how": "telephone", "price": "150.00",
        "if-declined": "stays here, oiled and bagged"}});
    bench.write("leave", "decision", "RH", &leave);
    bench.later(4);
    bench.take_apart();
    let seized = json!({"part": "injector", "position": "2", "event": "off", "where": "rack A, with its clamp",
        "trouble": "seized", "why": "came out with a slide hammer, its seat is torn"});
    bench.write("injector 2", "part", "LM", &seized);
    bench.sign("teardown");
    bench.later(8);
    bench.look();
    let crack = json!({"findings": [{"part": "head", "where": "between the seats of cylinder 2", "defect": "crack",
        "severity": 5, "pictures": ["24-018-head.jpg"], "disposition": "hold for owner",
        "problem": "crack between the seats: weld or another head?",
        "waits-on": "Tam Corrant, who decides"}]});
    bench.write("head", "finding", "LM", &crack);
    let out = json!({"order": "W-33", "out": {"to": "Stenning Grinding", "operation": "other", "tolerance": "price a weld between the seats",
        "parts": [{"part": "head", "count": 1}], "untouched": "cam bores", "due": bench.day(2), "carried-by": "Lin Marr"}});
    bench.write("order W-33 out", "work-order", "RH", &out);
    let estimate = json!({"estimate": {"option": "A, weld the head", "expires": bench.day(8), "not-to-exceed": "2600.00",
        "lines": [{"what": "labour", "amount": "1300.00"}, {"what": "head, outside", "amount": "480.00"},
            {"what": "parts", "amount": "520.00"}]}});
    bench.write("estimate", "account", "RH", &estimate);
    let bore = bench.feature("bore");
    bench.measure(&bore, "as received", "read");
    let pins = json!({"condition": "as received", "unit": "mm", "gauge": "MIC-12",
        "readings": readings("crankpin", &JOURNAL, &PINS)});
    bench.write("pins", "measurements", "LM", &pins);
    let grind = json!({"agreed-work": {"unit": "mm", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "crankpin", "positions": ["all"], "finished": "0.25 under"}]}});
    bench.write("agreed work", "decision", "RH", &grind);
    let asked = json!({"item": "belt", "count": 1, "state": "back-ordered", "supplier": "Halden Parts",
        "due": bench.day(9)});
    bench.write("belt", "supply", "RH", &asked);
    bench.write(
        "hours",
        "account",
        "LM",
        &json!({"hours": {"hours": "9.00", "what": "teardown and cleaning"}}),
    );
}
