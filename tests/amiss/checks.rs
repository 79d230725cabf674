//! A check counts for what is there when it is made: not before it is together, not by the hand whose work it looks at.

use super::*;

fn checks(drops: &[Named]) -> Vec<String> {
    let standing = stand(drops);
    let open = standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::Checked);
    open.map(|b| format!("{}: {}", b.about, b.what)).collect()
}

fn said(drops: &[Named], about: &str, words: &str) -> bool {
    checks(drops).iter().any(|line| line.starts_with(&format!("{about}: ")) && line.contains(words))
}

fn answered(recorded: &str, who: &str, check: &str, result: &str) -> Named {
    let mut made = json!({"check": check, "result": result});
    if result != "yes" {
        made["why"] = "not needed here".into();
    }
    let mut named = drop("assembly", recorded, json!({"checks": [made]}));
    named.1["who"] = who.into();
    named
}

fn people(names: &[(&str, &str)]) -> Named {
    let people: Vec<Value> = names
        .iter()
        .map(|(name, initials)| json!({"name": name, "initials": initials, "roles": ["owner", "bench"]}))
        .collect();
    let mut named = drop("people", "2026-03-01T07:00:00Z", json!({"revision": 1, "people": people}));
    named.1.as_object_mut().unwrap().remove("job");
    named
}

/// Everything of the first sheet that looks over the assembly, said before anything is together.
#[test]
fn what_is_said_before_it_is_together_is_asked_again() {
    let all = rebuild(&OV24_REBUILD);
    assert_eq!(checks(&all), Vec::<String>::new());
    for check in [
        "two turns",
        "pump primed",
        "torque seen",
        "timing marks",
        "crank turns",
        "caps and arrows",
        "first start",
    ] {
        let mut early = all.clone();
        let before = after(&all, "fit crankshaft", -1);
        find(&mut early, &format!("check {check}"))["recorded"] = before.into();
        assert_eq!(checks(&early).len(), 1, "{check}: {:?}", checks(&early));
        assert!(said(&early, check, "asked again: "), "{:?}", checks(&early));
    }
}

/// The head came off and went on again with a new gasket: what was seen of it was seen of another assembly.
#[test]
fn what_was_loosened_since_is_looked_at_again() {
    let mut drops = rebuild(&OV24_REBUILD);
    let gasket = json!({"fitted": [{"part": "head gasket", "state": "new"}],
        "torque": [{"group": "G03", "lubricant": "oil threads and under head", "bolts": "new"}]});
    drops.push(drop("assembly", AFTER_ALL, gasket));
    let gone = |drops: &[Named], check: &str| said(drops, check, "asked again: ");
    for check in ["two turns", "torque seen", "head gasket", "pump primed", "first start"] {
        assert!(gone(&drops, check), "{check}: {:?}", checks(&drops));
    }
    // Caps, rings and thrust halves are nothing to it.
    for check in ["caps and arrows", "rings right", "thrust aligned", "crank turns", "core plugs tight"] {
        assert!(!gone(&drops, check), "{check}: {:?}", checks(&drops));
    }
    drops.push(answered("2026-04-01T11:00:00Z", "SK", "two turns", "yes"));
    assert!(!gone(&drops, "two turns") && gone(&drops, "torque seen"), "{:?}", checks(&drops));
}

/// The second person did none of what is looked at; where there is one person, a later day is.
#[test]
fn a_second_person_did_none_of_it() {
    let all = rebuild(&OV24_REBUILD);
    let (two, one) = (people(&[("Lin Marr", "LM"), ("Sana Kell", "SK")]), people(&[("Lin Marr", "LM")]));
    let by = |people: &Named, who: &str, recorded: &str, check: &str| {
        checks(&[all.clone(), vec![people.clone(), answered(recorded, who, check, "yes")]].concat())
    };
    let last = after(&all, "check two turns", 1);
    for who in ["LM", "Lin Marr", "lin marr"] {
        let open = by(&two, who, &last, "torque seen");
        assert!(
            open.len() == 1 && open[0].contains("who tightened G03 Cylinder head: a second person"),
            "{open:?}"
        );
        assert_eq!(by(&two, who, AFTER_ALL, "torque seen").len(), 1, "no later day makes a second person");
        assert_eq!(by(&one, who, &last, "torque seen").len(), 1);
        assert_eq!(by(&one, who, AFTER_ALL, "torque seen"), Vec::<String>::new(), "{who}");
    }
    assert_eq!(by(&two, "SK", &last, "torque seen"), Vec::<String>::new());
    // Who tightened the manifold may look at mains, rods and head.
    let mut other = all.clone();
    find(&mut other, "torque G14")["who"] = "SK".into();
    assert_eq!(checks(&other), Vec::<String>::new());
    find(&mut other, "torque G02")["who"] = "SK".into();
    assert!(said(&other, "torque seen", "who tightened G02 Connecting rods"), "{:?}", checks(&other));
}

/// Every engine is turned by hand and primed before it runs.
#[test]
fn what_every_engine_has_is_not_said_away() {
    let mut drops = rebuild(&OV24_REBUILD);
    for check in ["two turns", "pump primed", "torque seen", "core plugs tight"] {
        let name = format!("check {check}");
        let was = find(&mut drops, &name)["body"].clone();
        find(&mut drops, &name)["body"]["checks"][0] =
            json!({"check": check, "result": "not on this engine", "why": "runs anyway"});
        assert_eq!(checks(&drops).len(), 1, "{check}");
        assert!(said(&drops, check, "due on every engine"), "{:?}", checks(&drops));
        find(&mut drops, &name)["body"] = was;
    }
    // What an engine may be without is said so.
    find(&mut drops, "check lifters spin")["body"]["checks"][0] =
        json!({"check": "lifters spin", "result": "not on this engine", "why": "flat feet that do not turn"});
    assert_eq!(checks(&drops), Vec::<String>::new());
}
