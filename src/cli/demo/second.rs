//! The second engine, half way: it is apart, something was found, an order is late and the customer has not answered.

use super::bench::Bench;
use super::scenario::{JOURNAL, readings};
use serde_json::json;

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
        "problem": "crack between the seats: weld or another head?"}]});
    bench.write("head", "finding", "LM", &crack);
    let out = json!({"order": "W-33", "out": {"to": "Stenning Grinding", "operation": "other", "tolerance": "price a weld between the seats",
        "parts": [{"part": "head", "count": 1}], "untouched": "cam bores", "due": bench.day(2), "carried-by": "Lin Marr"}});
    bench.write("order W-33 out", "work-order", "RH", &out);
    let estimate = json!({"estimate": {"option": "A, weld the head", "expires": bench.day(5), "not-to-exceed": "2600.00",
        "lines": [{"what": "labour", "amount": "1300.00"}, {"what": "head, outside", "amount": "480.00"},
            {"what": "parts", "amount": "520.00"}]}});
    bench.write("estimate", "account", "RH", &estimate);
    for key in ["bore", "crankpin"] {
        let feature = bench.feature(key);
        bench.measure(&feature, "as received", "read");
    }
    bench.write(
        "hours",
        "account",
        "LM",
        &json!({"hours": {"hours": "9.00", "what": "teardown and cleaning"}}),
    );
}
