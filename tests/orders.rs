//! Work orders as letters: to whoever does the work when the shop has an address for them, once each. Guards promise 8 and
//! that nobody gets an order that is back already.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;

use benchdrop::facts::JobKey;
use benchdrop::notices::{Letter, Told};
use benchdrop::respond::respond;
use serde_json::{Value, json};
use support::*;

fn engine() -> Vec<Value> {
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "rowan@shop.example"},
        {"name": "Stenning Grinding", "initials": "SG", "roles": ["machinist"], "mail": "orders@grinding.example"}]});
    let pin = measured(
        20,
        "as received",
        "MIC",
        journal("crankpin", "2", ["1.9983", "1.9979", "1.9982", "1.9978"]),
    );
    let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "crankpin", "positions": ["all"], "finished": "0.010 under"}]}});
    let shells = json!({"item": "rod shell", "unit": "in", "size": "0.010 under", "count": 8, "state": "received",
        "stamped": "0.010 under"});
    let here = [drop_at("decision", 25, agreed), drop_at("supply", 26, shells)];
    with(&with(&shop_with_engine(), &[shop_drop("people", 0, people), pin]), &here)
}

fn out(minute: u32, to: &str, tolerance: &str) -> Value {
    drop_at(
        "work-order",
        minute,
        json!({"order": "W-31", "out": {"to": to, "operation": "grind", "due": "2026-03-09",
        "parts": [{"part": "crankshaft", "count": 1}], "places": [{"feature": "crankpin", "positions": ["all"]}],
        "unit": "in", "finished": "0.010 under", "tolerance": tolerance, "untouched": "thrust faces"}}),
    )
}

/// The orders mailed after these drops, and what was told then.
fn mailed(drops: &[Value], told: &Told) -> (Vec<Letter>, Told) {
    let (job, shop) = sets(drops);
    let now = "2026-03-02T12:00:00Z".parse().unwrap();
    let response = respond(&JobKey::of(JOB, SITE).unwrap(), job, told, &shop, [], now);
    (response.letters.into_iter().filter(|letter| letter.key.starts_with("order/")).collect(), response.told)
}

#[test]
fn an_order_goes_to_whoever_does_the_work_once() {
    let sent = with(&engine(), &[out(30, "stenning grinding", "all alike")]);
    let (letters, told) = mailed(&sent, &Told::default());
    let [letter] = letters.as_slice() else { panic!("{letters:?}") };
    assert_eq!((letter.to.as_str(), letter.may_wait), ("orders@grinding.example", false));
    assert_eq!(letter.subject, "Work order W-31 of job 24-017: grind, wanted by 2026-03-09");
    for words in [
        "Finished limits: crankpin 1.9890 to 1.9895 in",
        "Do not touch: thrust faces",
        "rear Y 1.9978",
        "crankshaft: all; how many: 1",
    ] {
        assert!(letter.text().contains(words), "{words}: {}", letter.text());
    }
    assert_eq!(mailed(&sent, &told).0, []);
    // Withdrawn and written anew under its number it is another order.
    let first = fact(&out(30, "stenning grinding", "all alike")).id.hex();
    let void = drop_at("withdrawal", 38, json!({"drop": first, "why": "wrong tolerance"}));
    let anew = out(40, "Stenning Grinding", "middle of the limits");
    let (again, _) = mailed(&with(&sent, &[void, anew]), &told);
    assert!(again[0].text().contains("middle of the limits") && again[0].key != letter.key);
}

#[test]
fn nobody_gets_what_is_back_or_is_not_theirs() {
    assert_eq!(mailed(&with(&engine(), &[out(30, "A. Stranger", "all alike")]), &Told::default()).0, []);
    let back = drop_at(
        "work-order",
        35,
        json!({"order": "W-31", "back": {"parts": [{"part": "crankshaft", "count": 1}],
        "result": "accepted", "unit": "in", "finished": "0.010 under"}}),
    );
    let done = with(&engine(), &[out(30, "Stenning Grinding", "all alike"), back]);
    assert_eq!(mailed(&done, &Told::default()).0, []);
}
