//! What is found is decided once: later words that deny it are asked about, what is replaced is history, what makes room is not
//! measured any more, and pieces that are not right open problems.

use crate::seen;
use crate::support::{drop_at, fact};
use serde_json::{Value, json};

/// What a rule says of a part, else nothing.
fn says_of(drops: &[Value], rule: &str, about: &str) -> String {
    let open = seen(drops).standing.blockers.into_iter().filter(|b| b.rule.word() == rule);
    open.filter(|b| b.about == about).map(|b| format!("{}: {}", b.actor.word(), b.what)).collect()
}

fn one_finding(minute: u32, part: &str, more: &Value) -> Value {
    let mut finding = json!({"part": part, "defect": "nothing found", "severity": 0});
    finding.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    drop_at("finding", minute, json!({"findings": [finding]}))
}

fn word(minute: u32, part: &str, positions: &Value, what: &str, by: &str) -> Value {
    let mut body = json!({"part": part, "what": what, "why": "so it is", "by": by});
    if !positions.is_null() {
        body["positions"] = positions.clone();
    }
    drop_at("decision", minute, json!({"disposition": body}))
}

/// Who is later is not right for being later (trade notes A, step 8, and C1: a crack is decided, not forgotten).
#[test]
fn a_crack_and_a_good_test_after_it_are_asked_about() {
    let crack = json!({"defect": "crack", "severity": 4, "where": "journal 3 fillet"});
    let crack = one_finding(20, "crankshaft", &crack);
    let repair = word(21, "crankshaft", &Value::Null, "repair", "Rowan Holt");
    let passed = json!({"test": {"kind": "magnetic particle", "result": "passed"}});
    let failed =
        json!({"test": {"kind": "magnetic particle", "result": "failed"}, "severity": 2, "defect": "crack"});
    let none = |r#where: &str| one_finding(30, "crankshaft", &json!({"where": r#where}));
    let says = |drops: &[Value]| says_of(drops, "what becomes of it", "crankshaft");
    assert_eq!(says(&[crack.clone(), repair.clone()]), "", "decided");
    let tested = one_finding(30, "crankshaft", &passed);
    for (first, later, words) in [
        (&crack, &tested, "passed its magnetic particle test"),
        (&crack, &none("journal 3 fillet"), "looked at, nothing found"),
        (&one_finding(20, "crankshaft", &failed), &tested, "failed its magnetic particle test"),
    ] {
        let open = says(&[first.clone(), repair.clone(), later.clone()]);
        assert!(
            open.starts_with("owner: ") && open.contains(words) && open.contains("one of the two is wrong"),
            "{open}"
        );
        // Work between is what it was tested for again; a name after both decides; a part given up is settled.
        let welded =
            json!({"operation": "weld", "parts": [{"part": "crankshaft"}], "with": "by the specialist"});
        assert_eq!(
            says(&[first.clone(), repair.clone(), drop_at("operation", 25, welded), later.clone()]),
            ""
        );
        let decided = word(40, "crankshaft", &Value::Null, "reuse same position", "Rowan Holt");
        assert_eq!(says(&[first.clone(), repair.clone(), later.clone(), decided]), "");
        let gone = word(21, "crankshaft", &Value::Null, "replace", "Rowan Holt");
        assert_eq!(says(&[first.clone(), gone, later.clone()]), "");
    }
    assert_eq!(says(&[crack.clone(), repair.clone(), none("flange")]), "", "another spot");
    let pressure = json!({"test": {"kind": "pressure test", "result": "passed"}});
    assert_eq!(says(&[crack, repair, one_finding(30, "crankshaft", &pressure)]), "", "it looks for no crack");
}

/// What lies there now is what is asked about: of two pistons that were seen together one is replaced.
#[test]
fn what_was_replaced_is_asked_about_no_more() {
    let bad =
        one_finding(20, "piston", &json!({"positions": ["1", "2"], "defect": "galling", "severity": 4}));
    let both = word(21, "piston", &json!(["1", "2"]), "replace", "Rowan Holt");
    let new =
        drop_at("part", 30, json!({"part": "piston", "position": "2", "event": "replaced", "state": "new"}));
    let carried = |drops: &[Value]| -> Vec<String> {
        let open = seen(drops).standing.blockers.into_iter().filter(|b| b.rule.word() == "carried out");
        open.map(|b| b.about).collect()
    };
    assert_eq!(carried(&[bad.clone(), both.clone()]), ["piston 1, 2"]);
    assert_eq!(carried(&[bad.clone(), both, new.clone()]), ["piston 1"]);
    let open = says_of(&[bad.clone(), new.clone()], "what becomes of it", "piston 1");
    assert!(open.contains("say what becomes of it"), "{open}");
    assert_eq!(says_of(&[bad, new], "what becomes of it", "piston 1, 2"), "");
}

/// What makes room for another piece is not measured, tested or decided about any more; what it sits in is, and so is the
/// piece that comes.
#[test]
fn what_makes_room_is_not_measured_any_more() {
    let measured = |drops: &[Value], name: &str| {
        let open = seen(drops).standing.blockers.into_iter().filter(|b| b.rule.word() == "measured");
        open.filter(|b| b.about.starts_with(name)).map(|b| b.about).collect::<Vec<_>>().join("; ")
    };
    let crack = one_finding(20, "crankshaft", &json!({"defect": "crack", "severity": 5}));
    let gone = word(21, "crankshaft", &Value::Null, "replace", "Rowan Holt");
    assert_ne!(measured(std::slice::from_ref(&crack), "main journal"), "");
    let drops = [crack, gone];
    assert_eq!(measured(&drops, "main journal"), "");
    assert_eq!(measured(&drops, "crankpin"), "");
    assert_ne!(measured(&drops, "main housing"), "", "what it sat in is measured for the one that comes");
    assert_eq!(says_of(&drops, "tested", "crankshaft"), "");
    let came = drop_at("part", 30, json!({"part": "crankshaft", "event": "replaced", "state": "used"}));
    let drops = [&drops[..], &[came]].concat();
    assert_ne!(measured(&drops, "main journal"), "");
    assert_ne!(says_of(&drops, "tested", "crankshaft"), "");
    // A used one is cleaned like what came.
    let cleaned = |drops: &[Value]| {
        seen(drops).standing.blockers.iter().any(|b| b.rule.word() == "cleaned" && b.about == "crankshaft")
    };
    assert!(cleaned(&drops) && !cleaned(&drops[..2]));
}

/// Trade notes A: what is stripped, missing or doubtful stays on the list until somebody closes it.
#[test]
fn pieces_that_are_not_right_open_problems() {
    let bag = |state: &str, piece: &Value, why: &str| {
        let mut body = json!({"group": "G01", "state": state, "pieces": [piece]});
        if !why.is_empty() {
            body["why"] = why.into();
        }
        drop_at("hardware", 20, body)
    };
    let unfit = |trouble: &str| json!({"count": 10, "trouble": trouble, "troubled": 2});
    for (bag, what) in [
        (bag("bagged", &unfit("stripped"), ""), Some("2 stripped")),
        (bag("bagged", &unfit("of another grade"), ""), Some("2 of another grade")),
        (
            bag("bagged", &json!({"count": 10, "thread": "first one pulled"}), ""),
            Some("threads: first one pulled"),
        ),
        (bag("lost", &json!({"count": 1}), "not in any bag"), Some("1 missing: not in any bag")),
        (bag("broken", &json!({"count": 1}), "head off"), Some("1 broken: head off")),
        (bag("bagged", &unfit("rusted"), ""), None),
        (bag("lost", &json!({"count": 0}), "found again"), None),
    ] {
        let view = seen(&[bag]);
        let problems: Vec<&str> = view.job.open_problems().map(|problem| problem.what.as_str()).collect();
        assert_eq!(problems, what.into_iter().collect::<Vec<_>>());
    }
}

/// The blocker says that a named person accepts it, so one can.
#[test]
fn whatever_is_judged_can_be_accepted() {
    for characteristic in benchdrop::sheets::Characteristic::ALL {
        let accept = json!({"feature": "main journal", "positions": ["3"], "characteristic": characteristic.word(),
            "why": "looked at again", "accepted-by": "Rowan Holt"});
        fact(&drop_at("decision", 20, json!({"accept": accept})));
    }
}
