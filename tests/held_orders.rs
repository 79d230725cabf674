//! Nothing reaches who does the work before it may be cut: an order is held, with each reason, until the money is
//! approved, the tests are passed, the work is agreed as it is ordered and what it is cut to fit is here; then it goes by
//! itself, once. Guards promises 8 and 9. What holds an order is read in the trade's own list, steps 8 to 13.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/digits.rs"]
mod digits;
#[path = "support/rebuild.rs"]
mod rebuild;
mod support;

use benchdrop::facts::JobKey;
use benchdrop::notices::{Letter, Told};
use benchdrop::pages::{job_text, work_order};
use benchdrop::respond::{Response, respond};
use jiff::Timestamp;
use rebuild::{Named, OV24_REBUILD, rebuild};
use serde_json::{Value, json};
use support::{JOB, SITE, fact, sets};

const GRINDER: &str = "orders@grinding.example";
const OWNER: &str = "rowan@shop.example";
/// Later than everything that is dropped here.
const NOW: &str = "2026-04-05T12:00:00Z";

/// The rebuild up to this drop, with people who have addresses.
fn until(last: &str) -> Vec<Named> {
    let mut drops = rebuild(&OV24_REBUILD);
    let end = drops.iter().position(|(name, _)| name == last).unwrap();
    drops.truncate(end + 1);
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": OWNER},
        {"name": "Stenning Machine", "initials": "SM", "roles": ["machinist"], "mail": GRINDER}]});
    drops.insert(0, ("people".to_owned(), support::shop_drop("people", 0, people)));
    drops
}

/// What follows from these drops but those of these names, with what was told before.
fn after(drops: &[Named], left_out: &[&str], told: &Told) -> Response {
    let stay = drops.iter().filter(|(name, _)| !left_out.contains(&name.as_str()));
    let (job, shop) = sets(&stay.map(|(_, drop)| drop.clone()).collect::<Vec<Value>>());
    let last = told
        .last
        .map_or_else(|| NOW.parse().unwrap(), |at| Timestamp::from_millisecond(at + 3_600_000).unwrap());
    respond(&JobKey::of(JOB, SITE).unwrap(), job, told, &shop, [], last)
}

fn orders(response: &Response) -> Vec<&Letter> {
    response.letters.iter().filter(|letter| letter.to == GRINDER).collect()
}

/// What holds the order of this number.
fn holds(drops: &[Named], left_out: &[&str], number: &str) -> Vec<String> {
    let response = after(drops, left_out, &Told::default());
    let order = response.view.job.orders.values().find(|order| order.number == number).unwrap();
    let holds = response.view.standing.holds(order);
    assert_eq!(orders(&response).iter().any(|letter| letter.subject.contains(number)), holds.is_empty());
    holds
}

fn order(number: &str, day: u32, out: Value) -> Named {
    let mut out = out;
    out["to"] = "Stenning Machine".into();
    out["due"] = "2026-12-20".into();
    at("work-order", day, json!({"order": number, "out": out}))
}

fn at(kind: &str, day: u32, body: Value) -> Named {
    let recorded = format!("2026-04-{day:02}T10:00:00Z");
    let drop =
        json!({"kind": kind, "version": 1, "job": JOB, "who": "LM", "recorded": recorded, "body": body});
    (format!("{kind} {day}"), drop)
}

#[test]
fn every_reason_holds_an_order_and_none_lets_it_go() {
    let drops = until("order WO-1 out");
    assert_eq!(holds(&drops, &[], "WO-1"), Vec::<String>::new());
    for (left_out, reason) in [
        ("authority", "no leave to take it apart"),
        ("estimate", "no estimate"),
        ("approval", "no answer to the estimate of 1800.00"),
        ("crack test crankshaft", "crankshaft: crack test it"),
        (
            "agree main journal",
            "main journal 1, 2, 3, 4, 5 is ordered: grind to 0.010 under, and nobody agreed",
        ),
        ("in hand main shell", "main shell, 0.010 under: not ordered: have them in hand before you"),
    ] {
        let found = holds(&drops, &[left_out], "WO-1");
        assert!(found.iter().any(|said| said.starts_with(reason)), "{left_out}: {found:?}");
    }
    // What only another order waits for holds this one not.
    assert_eq!(
        holds(&drops, &["in hand rod shell", "agree crankpin", "crack test rod"], "WO-1"),
        Vec::<String>::new()
    );
}

/// A part that comes in sizes is not in hand before somebody has read which one came.
#[test]
fn a_stamp_is_read_before_the_cut() {
    let mut drops = until("order WO-1 out");
    let shells = |drops: &mut Vec<Named>, stamped: Option<&str>| {
        let here = &mut drops.iter_mut().find(|(name, _)| name == "in hand main shell").unwrap().1["body"];
        match stamped {
            Some(size) => here["stamped"] = size.into(),
            None => drop(here.as_object_mut().unwrap().remove("stamped")),
        }
    };
    shells(&mut drops, None);
    let found = holds(&drops, &[], "WO-1");
    assert!(found.len() == 1 && found[0].contains("nobody read its stamp: read it"), "{found:?}");
    let row = after(&drops, &[], &Told::default()).row;
    assert!(row.supplies.iter().any(|s| s.item.contains("main shell") && s.state.contains("stamp not read")));
    shells(&mut drops, Some("0.020 under"));
    assert_eq!(holds(&drops, &[], "WO-1").len(), 1);
    shells(&mut drops, Some("0.010 under"));
    assert_eq!(holds(&drops, &[], "WO-1").len(), 0);
}

/// The owner hears of it at once, whatever stage the engine stands at; the order goes by itself when the last reason is gone,
/// and not again when one comes back.
#[test]
fn it_goes_by_itself_once() {
    let mut drops = until("order WO-1 out");
    let (first, second) = ("approval", "in hand main shell");
    let held = after(&drops, &[first, second], &Told::default());
    assert_eq!(orders(&held), Vec::<&Letter>::new());
    let letter = held.letters.iter().find(|letter| letter.text().contains("work order WO-1")).unwrap();
    assert_eq!(letter.to, OWNER);
    for words in ["WORK ORDER HELD", "no answer to the estimate", "main shell, 0.010 under: not ordered"] {
        assert!(letter.text().contains(words), "{words}: {}", letter.text());
    }
    let wo1 = held.view.job.orders.values().next().unwrap();
    for shown in [work_order(&held.view, wo1), job_text(&held.view, false)] {
        assert!(
            shown.contains("no answer to the estimate") && shown.contains("nothing of it may be cut"),
            "{shown}"
        );
    }
    assert_eq!(held.row.orders[0].held.len(), 2);
    // Not at machining: what holds it is seen nonetheless.
    assert_eq!(held.view.standing.words(), "inspection");

    let less = after(&drops, &[first], &held.told);
    assert_eq!(orders(&less), Vec::<&Letter>::new());
    let gone = after(&drops, &[], &less.told);
    assert_eq!(orders(&gone).len(), 1);
    assert!(
        gone.letters.iter().any(|l| l.to == OWNER && l.subject.contains("cleared: work order WO-1 held"))
    );
    let approval = drops.iter().find(|(name, _)| name == "approval").unwrap();
    let void =
        at("withdrawal", 1, json!({"drop": fact(&approval.1).id.hex(), "why": "said of another engine"}));
    drops.push(void);
    let again = after(&drops, &[], &gone.told);
    assert_eq!(orders(&again), Vec::<&Letter>::new());
    assert!(again.letters.iter().any(|l| l.to == OWNER && l.text().contains("call and stop them")));
    drops.pop();
    assert_eq!(orders(&after(&drops, &[], &again.told)), Vec::<&Letter>::new());
}

/// Work that was agreed after the approval waits for its own; what was approved goes.
#[test]
fn an_addition_holds_its_own_work_alone() {
    let drops = until("order WO-2 out");
    let later = |of: &[&str]| {
        let mut drops = drops.clone();
        let approved = drops.iter().find(|(name, _)| name == "approval").unwrap().1["recorded"].clone();
        for name in of {
            // The same words once more, a minute after the approval: it stands, and these wait for their own.
            let mut again = drops.iter().find(|(known, _)| known == name).unwrap().clone();
            again.1["recorded"] = approved.as_str().unwrap().replace(":00Z", ":30Z").into();
            drops.push(again);
        }
        ["WO-1", "WO-2"].map(|number| holds(&drops, &["order WO-1 back"], number).len())
    };
    assert_eq!(later(&[]), [0, 0]);
    assert_eq!(later(&["agree crankpin"]), [0, 1]);
    // Two features later: the blocker names the first "and more".
    assert_eq!(later(&["agree crankpin", "agree bore"]), [0, 1]);
    assert_eq!(later(&["agree crankpin", "agree main journal"]), [1, 1]);
}

/// Another size or another operation than agreed is said when it is ordered, with both.
#[test]
fn it_is_ordered_as_it_was_agreed() {
    let drops = until("sign inspection");
    let ordered = |operation: &str, size: Value, positions: Value| {
        let mut drops = drops.clone();
        let mut out = json!({"operation": operation, "parts": [{"part": "crankshaft", "count": 1}], "unit": "in",
            "places": [{"feature": "main journal", "positions": positions}]});
        if !size.is_null() {
            out["finished"] = size;
        }
        drops.push(order("WO-7", 2, out));
        holds(&drops, &[], "WO-7")
    };
    let none = Vec::<String>::new();
    assert_eq!(ordered("grind", "0.010 under".into(), json!(["all"])), none);
    assert_eq!(ordered("grind", "0.010 under".into(), json!(["2"])), none);
    for (operation, size, said) in [
        (
            "grind",
            json!("0.020 under"),
            "main journal 2, 3 is ordered: grind to 0.020 under, agreed is: grind to 0.010 under",
        ),
        (
            "weld",
            json!("0.010 under"),
            "main journal 2, 3 is ordered: weld to 0.010 under, agreed is: grind to 0.010 under",
        ),
        ("polish", Value::Null, "main journal 2, 3 is ordered: polish, agreed is: grind to 0.010 under"),
        ("grind", Value::Null, "main journal 2, 3 is ordered: grind, agreed is: grind to 0.010 under"),
    ] {
        let found = ordered(operation, size, json!(["2", "3"]));
        assert!(found.len() == 1 && found[0].starts_with(said), "{operation}: {found:?}");
    }
    // By parts alone: the work on their surfaces is what was agreed.
    let by_parts = |operation: &str, size: &str| {
        let mut drops = drops.clone();
        let parts = json!([{"part": "crankshaft", "count": 1}]);
        drops.push(order(
            "WO-7",
            2,
            json!({"operation": operation, "parts": parts, "unit": "in", "finished": size}),
        ));
        holds(&drops, &[], "WO-7")
    };
    assert_eq!(by_parts("grind", "0.020 under"), none);
    let found = by_parts("grind", "0.030 under");
    let said = "crankshaft is ordered: grind to 0.030 under, agreed is: \
                main journal 1, 2, 3, 4, 5 grind to 0.010 under, crankpin 1, 2, 3, 4 grind to 0.020 under";
    assert!(found[0].starts_with(said), "{found:?}");
}

/// Parts go to be tested before anything is paid for; a repair goes once somebody decided on it and it is paid for.
#[test]
fn what_asks_for_no_agreed_cut_can_go() {
    let none = Vec::<String>::new();
    let mut test = until("authority");
    test.push(order(
        "WO-7",
        2,
        json!({"operation": "other", "parts": [{"part": "head", "count": 1}],
        "tolerance": "pressure test it, hot"}),
    ));
    assert_eq!(holds(&test, &[], "WO-7"), none);
    assert!(holds(&test, &["authority"], "WO-7")[0].starts_with("no leave to take it apart"));

    let mut drops = until("sign inspection");
    let failed = json!({"findings": [{"part": "head", "defect": "crack", "severity": 4,
        "test": {"kind": "pressure test", "result": "failed", "how": "4 bar"}}]});
    drops.push(at("finding", 1, failed));
    drops.push(order("WO-7", 2, json!({"operation": "weld", "parts": [{"part": "head", "count": 1}]})));
    let found = holds(&drops, &[], "WO-7");
    assert!(found.iter().any(|said| said.contains("failed its pressure test")), "{found:?}");
    let repair = json!({"disposition": {"part": "head", "what": "repair", "why": "welded, then tested again",
        "by": "Rowan Holt"}});
    drops.push(at("decision", 3, repair));
    assert_eq!(holds(&drops, &[], "WO-7"), none);
    assert!(!holds(&drops, &["approval"], "WO-7").is_empty());
    // Balancing is no row of the sheet.
    drops.push(order(
        "WO-8",
        4,
        json!({"operation": "balance", "parts": [{"part": "crankshaft", "count": 1}]}),
    ));
    assert_eq!(holds(&drops, &[], "WO-8"), none);
}

/// What failed its re-measure goes back, to be ground to the size that was agreed or touched up; to no other size.
#[test]
fn rework_goes_back() {
    let mut drops = until("again main journal");
    let places = json!([{"feature": "main journal", "positions": ["3"]}]);
    let parts = json!([{"part": "crankshaft", "count": 1}]);
    let none = Vec::<String>::new();
    drops.push(order(
        "WO-7",
        2,
        json!({"operation": "grind", "parts": parts, "places": places, "unit": "in",
        "finished": "0.010 under"}),
    ));
    assert_eq!(holds(&drops, &[], "WO-7"), none);
    drops.push(order(
        "WO-8",
        2,
        json!({"operation": "polish", "parts": parts, "places": places, "unit": "in"}),
    ));
    assert_eq!(holds(&drops, &[], "WO-8"), none);
    drops.push(order(
        "WO-9",
        2,
        json!({"operation": "grind", "parts": parts, "places": places, "unit": "in",
        "finished": "0.020 under"}),
    ));
    assert!(holds(&drops, &[], "WO-9")[0].contains("agreed is: grind to 0.010 under"));
}

/// A named person sets a reason aside, as the blocker prints it.
#[test]
fn a_named_person_sets_a_reason_aside() {
    let mut drops = until("order WO-1 out");
    let waived = |gate: &str, rule: &str, about: &str| {
        let waiver = json!({"gate": gate, "rule": rule, "about": about, "why": "they lie at the grinder's", "by": "Rowan Holt"});
        at("decision", 3, json!({"waiver": waiver}))
    };
    drops.push(waived("machining", "in hand", "main shell, 0.010 under"));
    assert_eq!(holds(&drops, &["in hand main shell"], "WO-1").len(), 0);
    drops.push(waived("machining", "ordered as agreed", "work order WO-1"));
    assert_eq!(holds(&drops, &["in hand main shell", "agree main journal"], "WO-1").len(), 0);
}
