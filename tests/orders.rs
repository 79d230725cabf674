//! Work orders as letters: to whoever does the work when the shop has an address for them, once each. Guards promise 8 and
//! that nobody gets an order that is back already.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;

use benchdrop::facts::JobKey;
use benchdrop::notices::{Letter, Told};
use benchdrop::pages::{job_text, order_words};
use benchdrop::respond::{respond, view};
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

/// Bare parts may come without an estimate; one that was made is answered before they are cut.
#[test]
fn an_estimate_for_bare_parts_is_answered_first() {
    let estimate = drop_at(
        "account",
        27,
        json!({"estimate": {"lines": [{"what": "grinding", "amount": "350.00"}],
        "not-to-exceed": "400.00", "expires": "2026-04-15"}}),
    );
    let sent = with(&engine(), &[out(30, "Stenning Grinding", "all alike"), estimate]);
    assert_eq!(mailed(&sent, &Told::default()).0, []);
    let word = |granted: bool| {
        let approval = json!({"granted": granted, "by": "Ferrowmere Mill", "how": "mail", "why": "as said"});
        with(&sent, &[drop_at("decision", 40, json!({"approval": approval}))])
    };
    assert_eq!(mailed(&word(false), &Told::default()).0, []);
    assert_eq!(mailed(&word(true), &Told::default()).0.len(), 1);
}

/// What is back in part is chased until all of it is counted, by row, page and blocker.
#[test]
fn the_rest_is_out_until_all_are_counted() {
    let base = engine();
    let line = drop_at(
        "work-order",
        30,
        json!({"order": "W-31", "out": {"to": "Stenning Grinding",
        "operation": "line hone", "due": "2026-03-09", "parts": [{"part": "block", "count": 1}, {"part": "main cap", "count": 5}]}}),
    );
    let lot = |minute: u32, caps: u32, blocks: u32, result: &str| {
        let all = [("block", blocks), ("main cap", caps)];
        let parts = all.iter().filter(|(_, n)| *n > 0).map(|(part, n)| json!({"part": part, "count": n}));
        let parts: Vec<Value> = parts.collect();
        drop_at("work-order", minute, json!({"order": "W-31", "back": {"parts": parts, "result": result}}))
    };
    let look = |lots: &[Value]| {
        let (job, shop) = sets(&with(&with(&base, std::slice::from_ref(&line)), lots));
        let late = "2026-03-14T12:00:00Z".parse().unwrap();
        let response = respond(&JobKey::of(JOB, SITE).unwrap(), job, &Told::default(), &shop, [], late);
        let text = job_text(&response.view, false);
        let letters: String = response.letters.iter().map(Letter::text).collect();
        (response.row.orders.first().map(|order| order.rest.clone()), text, letters)
    };
    let (rest, text, letters) = look(&[lot(40, 2, 1, "accepted")]);
    assert_eq!(rest.as_deref(), Some("3 of 5 main cap"));
    for shown in [&text, &letters] {
        assert!(shown.contains("3 of 5 main cap still out"), "{shown}");
    }
    let (rest, text, _) = look(&[lot(40, 2, 1, "accepted"), lot(50, 2, 0, "accepted")]);
    assert!(
        rest.as_deref() == Some("1 of 5 main cap") && text.contains("1 of 5 main cap still out"),
        "{text}"
    );
    let (rest, text, letters) = look(&[lot(40, 2, 1, "accepted"), lot(50, 3, 0, "accepted")]);
    assert!(rest.is_none() && !text.contains("still out") && !letters.contains("overdue"), "{rest:?} {text}");
    // Nothing back, or what came refused: all of it is out, not a rest.
    assert_eq!(look(&[]).0.as_deref(), Some(""));
    assert_eq!(look(&[lot(40, 5, 1, "refused")]).0.as_deref(), Some(""));
}

/// The words of an order, heading by heading, whether it may go yet or not.
fn said(drops: &[Value], number: &str) -> String {
    let (job, shop) = sets(drops);
    let view = view(&JobKey::of(JOB, SITE).unwrap(), &job, &shop);
    assert_eq!(view.job.held, []);
    let order = view.job.orders.values().find(|order| order.number == number).unwrap();
    let words = order_words(&view, order);
    words.iter().map(|(heading, lines)| format!("{heading}\n{}\n", lines.join("\n"))).collect()
}

/// Work that goes back shows what stood when it went back, not what was read before the first cut, nor after the second.
#[test]
fn rework_shows_the_readings_it_goes_back_with() {
    let mut drops = engine();
    drops.push(out(30, "Stenning Grinding", "all alike"));
    let back = |minute: u32, number: &str| {
        let parts = json!([{"part": "crankshaft", "count": 1}]);
        let back = json!({"parts": parts, "result": "accepted", "unit": "in", "finished": "0.010 under"});
        drop_at("work-order", minute, json!({"order": number, "back": back}))
    };
    let ground = |minute: u32, values: [&str; 4]| {
        measured(minute, "after work", "MIC", journal("crankpin", "2", values))
    };
    drops.push(back(60, "W-31"));
    drops.push(ground(70, ["1.9896", "1.9895", "1.9892", "1.9892"]));
    let mut again = out(80, "Stenning Grinding", "the front is larger");
    again["body"]["order"] = "W-34".into();
    again["body"]["out"]["places"][0]["positions"] = json!(["2"]);
    drops.push(again);
    // The limits at 0.010 under are 1.9890 to 1.9895 (trade notes, H1).
    let went = ["after work 1", "0.010 under", "front X 1.9896", "front X 0.0001 to 0.0006", "grind (LM"];
    let text = said(&drops, "W-34");
    for words in went {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(text.contains("crankpin 2: next to none is left at front X, front Y, rear X, rear Y"), "{text}");
    for other in ["1.9983", "as received"] {
        assert!(!text.contains(other), "{other}: {text}");
    }
    // Nor does what comes later change what it went with.
    drops.extend([back(100, "W-34"), ground(110, ["1.9893", "1.9893", "1.9892", "1.9892"])]);
    assert_eq!(said(&drops, "W-34").split("Back in").next(), text.split("Back in").next());
    assert!(said(&drops, "W-31").contains("front X 1.9983"));
}

#[test]
fn what_is_left_to_take_off_is_said_place_by_place() {
    let mut drops = engine();
    drops.push(out(30, "Stenning Grinding", "all alike"));
    let text = said(&drops, "W-31");
    // 1.9983 and 1.9978 against 1.9890 to 1.9895.
    for words in ["front X 0.0088 to 0.0093", "rear Y 0.0083 to 0.0088"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(!text.contains("is left at"), "{text}");
    // Ground in the house, one place 0.0001 below the least finished size.
    let places = json!([{"feature": "crankpin", "positions": ["2"]}]);
    let ground = json!({"operation": "grind", "unit": "in", "places": places, "finished": "0.010 under"});
    drops.push(drop_at("operation", 40, ground));
    let read = journal("crankpin", "2", ["1.9889", "1.9893", "1.9896", "1.9895"]);
    drops.push(measured(50, "after work", "MIC", read));
    let mut again = out(60, "Stenning Grinding", "all alike");
    again["body"]["order"] = "W-34".into();
    drops.push(again);
    let text = said(&drops, "W-34");
    for words in [
        "front X none: 0.0001 past the size",
        "front Y inside already, 0.0003 at most",
        "crankpin 2: no metal is left at front X for 1.9890 to 1.9895 in; next to none is left at front Y, rear X",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
}

/// What the sheet knows to go along is said where nobody wrote it, and is said to be the sheet's.
#[test]
fn what_goes_with_it_is_the_sheets_where_nobody_wrote_it() {
    let fillet = |key: &str, name: &str, least: &str| {
        json!({"feature": key, "name": name, "part": "crankshaft", "shape": "shrinks", "stations": ["front", "rear"],
            "positions": ["1", "2", "3", "4"], "directions": ["gauge"], "rows": [{"row": 201, "characteristic": "radius",
            "new": {"min": least, "max": "0.140"}, "asked": [{"condition": "as received"}]}]})
    };
    let mut sheet: Value = serde_json::from_str(OV24).unwrap();
    let features = sheet["body"]["features"].as_array_mut().unwrap();
    features.push(fillet("fillet of the pins", "Fillets of the pins", "0.120"));
    features.push(fillet("cam fillet", "Fillets of the camshaft drive", "0.050"));
    features.last_mut().unwrap()["rows"][0]["row"] = 202.into();
    let order = |operation: &str, feature: &str, part: &str, size: &str| {
        drop_at(
            "work-order",
            30,
            json!({"order": "W-1", "out": {"to": "Stenning Grinding", "operation": operation,
            "due": "2026-03-09", "parts": [{"part": part, "count": 1}], "unit": "in", "finished": size,
            "places": [{"feature": feature, "positions": ["all"]}]}}),
        )
    };
    let mut base: Vec<Value> =
        shop_with_engine().into_iter().filter(|drop| drop["kind"] != "sheet").collect();
    base.last_mut().unwrap()["body"]["scope"] = json!(["complete"]);
    let words = |out: Value| said(&with(&base, &[sheet.clone(), out]), "W-1");
    let from_sheet = "from the sheet: nobody wrote what goes with it";
    let ground = words(order("grind", "crankpin", "crankshaft", "0.020 under"));
    for line in [
        "the new rod shell, 0.020 under, 4",
        from_sheet,
        "Fillet radius: fillet of the pins 0.1200 to 0.1400 in, at both ends of each",
    ] {
        assert!(ground.contains(line), "{line}: {ground}");
    }
    assert!(!ground.contains("cam fillet") && !ground.contains("caps"), "{ground}");
    let bored = words(order("bore and hone", "bore", "block", "0.030 over"));
    for line in [
        "the new piston, 0.030 over, 4",
        "main cap, 5",
        "bolts G01 Main caps, 10: the ones that will be used",
        from_sheet,
        // Whoever bores it tightens them as in the engine (trade notes I, machinist 2).
        "G01, Main caps: 30, then 55, then 80 lbf ft; lubricant: oil",
    ] {
        assert!(bored.contains(line), "{line}: {bored}");
    }
    assert!(!bored.contains("Fillet") && !bored.contains("shell"), "{bored}");
    let rods = words(order("resize", "rod housing", "rod", "standard"));
    for line in ["rod cap, 4", "bolts G02 Connecting rods, 8"] {
        assert!(rods.contains(line), "{line}: {rods}");
    }
    let mut typed = order("grind", "crankpin", "crankshaft", "0.020 under");
    typed["body"]["out"]["supplied"] = json!(["the old shells"]);
    let typed = words(typed);
    assert!(typed.contains("Goes with it: the old shells") && !typed.contains(from_sheet), "{typed}");
}
