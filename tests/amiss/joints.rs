//! Bolts that were loosened are not tight: what they hold came off again, or went in after them.

use super::*;

fn joints(drops: &[Named]) -> Vec<String> {
    let standing = stand(drops);
    let of_bolts = [BlockerRule::Torqued, BlockerRule::NewBolts];
    let open = standing.blockers.iter().filter(|blocker| of_bolts.contains(&blocker.rule));
    open.map(|b| format!("{}: {}", b.about, b.what)).collect()
}

/// Everything tightened for a mock-up, then a cap and the head off again: their bolts are owed, and no others.
#[test]
fn a_mock_up_is_not_the_assembly() {
    let all = rebuild(&OV24_REBUILD);
    assert_eq!(joints(&all), Vec::<String>::new());
    for event in ["off", "replaced", "fitted"] {
        let cap = json!({"part": "main cap", "position": "3", "event": event, "state": "used"});
        let with = [all.clone(), vec![drop("part", AFTER_ALL, cap)]].concat();
        let at = "at 3 cam, 3 plug";
        let owed = format!("not recorded: stage 1 of 3 {at}; stage 2 of 3 {at}; stage 3 of 3 {at}");
        assert_eq!(joints(&with), [format!("G01 Main caps: {owed}")], "{event}");
        let again = json!({"torque": [{"group": "G01", "places": ["3 cam", "3 plug"], "lubricant": "oil",
            "bolts": "used"}]});
        let mended = [with, vec![drop("assembly", "2026-04-01T11:00:00Z", again)]].concat();
        assert_eq!(joints(&mended), Vec::<String>::new(), "{event}");
    }
    // Where it lies is nothing to its bolts; a piston comes out with its rod, and others keep theirs.
    let after = |part: &str, event: &str| {
        let body = json!({"part": part, "position": "3", "event": event, "where": "bench"});
        joints(&[all.clone(), vec![drop("part", AFTER_ALL, body)]].concat())
    };
    assert_eq!(after("main cap", "moved"), Vec::<String>::new());
    let piston = after("piston", "off");
    assert!(
        piston.len() == 1
            && piston[0].starts_with("G02 Connecting rods: not recorded: stage 1 of 3 at 3 cam, 3 plug;"),
        "{piston:?}"
    );
}

/// A new head gasket: the yield bolts that held the first are used now, though they were new when they were tightened.
#[test]
fn single_use_bolts_are_used_once_they_were_tightened() {
    let gasket = json!({"fitted": [{"part": "head gasket", "state": "new"}]});
    let drops = [rebuild(&OV24_REBUILD), vec![drop("assembly", AFTER_ALL, gasket)]].concat();
    let open = joints(&drops);
    assert!(
        open.len() == 1 && open[0].starts_with("G03 Cylinder head: not recorded: stage 1 of 3"),
        "{open:?}"
    );
    let again = |bolts: &str| {
        let torque = json!({"torque": [{"group": "G03", "lubricant": "oil threads and under head",
            "bolts": bolts}]});
        joints(&[drops.clone(), vec![drop("assembly", "2026-04-01T11:00:00Z", torque)]].concat())
    };
    assert!(
        again("used")[0].contains("single use; let the joint go there, fit new ones"),
        "{:?}",
        again("used")
    );
    assert_eq!(again("new"), Vec::<String>::new());
}

/// What is set aside on one group of bolts, or one order, rests on its own statements and not on everything.
#[test]
fn a_group_and_an_order_are_things() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.retain(|(name, _)| !["torque G01", "order WO-2 back", "again crankpin"].contains(&name.as_str()));
    let (job, judgement) = folded(&drops);
    let all = signables(&job, &judgement, &standing(&job, &judgement));
    let about = |thing: &str| {
        let found = all.iter().find(|signable| signable.what.contains(&format!(" of {thing} at ")));
        found.unwrap_or_else(|| panic!("{thing}: {all:#?}")).what.clone()
    };
    let (bolts, order) = (about("G01 Main caps"), about("work order WO-2"));
    let with = |kind: &str, body: Value| [drops.clone(), vec![drop(kind, AFTER_ALL, body)]].concat();
    let elsewhere = with("part", json!({"part": "damper", "event": "cleaned", "method": "spray cabinet"}));
    for what in [&bolts, &order] {
        assert_eq!(
            code(&elsewhere, what),
            code(&drops, what),
            "{what}: a damper that is cleaned is nothing to it"
        );
    }
    let own = json!({"group": "G01", "state": "bagged", "pieces": [{"size": "1/2-13 x 3.75", "count": 10}]});
    assert_ne!(code(&with("hardware", own), &bolts), code(&drops, &bolts));
    let off = json!({"part": "main cap", "position": "3", "event": "off"});
    assert_ne!(code(&with("part", off), &bolts), code(&drops, &bolts));
}

/// A pull to the last torque comes after the pulls before it, whenever it is written down.
#[test]
fn stages_are_done_in_their_order() {
    let mut drops = rebuild(&OV24_REBUILD);
    let at = after(&drops, "torque G01", 0);
    let mut stage = find(&mut drops, "torque G01").clone();
    let mut record = |stages: Value, minutes: i64| {
        stage["body"]["torque"][0]["stages"] = stages;
        let at: jiff::Timestamp = at.parse().unwrap();
        stage["recorded"] =
            jiff::Timestamp::from_second(at.as_second() + minutes).unwrap().to_string().into();
        ("torque G01 in stages".to_owned(), stage.clone())
    };
    let (first, others, last) = (record(json!([1]), 0), record(json!([2]), 10), record(json!([3]), 20));
    let early = record(json!([3]), 5);
    drops.retain(|(name, _)| name != "torque G01");
    let with = |more: &[&Named]| {
        joints(&drops.iter().cloned().chain(more.iter().map(|named| (*named).clone())).collect::<Vec<_>>())
    };
    assert_eq!(with(&[&first, &others, &last]), Vec::<String>::new());
    let open = with(&[&first, &others, &early]);
    assert!(open.len() == 1 && open[0].starts_with("G01 Main caps: not recorded: stage 3 of 3"), "{open:?}");
    assert!(!open[0].contains("stage 2"), "{open:?}");
    let open = with(&[&first, &last]);
    assert!(
        open.len() == 1 && open[0].contains("stage 2 of 3") && open[0].contains("stage 3 of 3"),
        "{open:?}"
    );
}

/// Bolts that were turned past yield are turned no further: not with the same stages, and not by calling them new.
#[test]
fn yielded_bolts_are_not_tightened_again() {
    let all = rebuild(&OV24_REBUILD);
    let not_again = |drops: &[Named]| -> Vec<String> {
        let of_rule = stand(drops).blockers.into_iter().filter(|b| b.rule == BlockerRule::NotAgain);
        of_rule.map(|b| format!("{}: {}", b.about, b.what)).collect()
    };
    let again = |recorded: &str, group: &str, lubricant: &str, more: Value| {
        let mut torque = json!({"group": group, "lubricant": lubricant, "bolts": "new"});
        torque.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        drop("assembly", recorded, json!({"torque": [torque]}))
    };
    let head = |more: Value| again(AFTER_ALL, "G03", "oil threads and under head", more);
    assert_eq!(not_again(&all), Vec::<String>::new());
    for more in [json!({}), json!({"stages": [3]}), json!({"stages": [2], "places": ["C1"]})] {
        let open = not_again(&[all.clone(), vec![head(more.clone())]].concat());
        assert!(
            open.len() == 1 && open[0].starts_with("G03 Cylinder head: tightened once more at C1"),
            "{more}: {open:?}"
        );
    }
    // Plain bolts may be taken to their torque once more.
    let plain = again(AFTER_ALL, "G14", "anti-seize", json!({}));
    assert_eq!(not_again(&[all.clone(), vec![plain]].concat()), Vec::<String>::new());
    // Loosened between, and new: that is how it is done.
    let gasket = json!({"fitted": [{"part": "head gasket", "state": "new"}]});
    let mut loosened = [all.clone(), vec![drop("assembly", "2026-04-01T09:00:00Z", gasket)]].concat();
    loosened.push(head(json!({})));
    assert_eq!((not_again(&loosened), joints(&loosened)), (Vec::new(), Vec::new()));
    // Used ones do not become new by writing it.
    let mut used = all;
    find(&mut used, "torque G03")["body"]["torque"][0]["bolts"] = "used".into();
    used.push(head(json!({})));
    assert!(joints(&used)[0].contains("used bolts at C1"), "{:?}", joints(&used));
}

/// What clamps alike is one lubricant; what nobody here knows is asked about, not slackened.
#[test]
fn lubricants_are_held_against_each_other_by_what_they_do() {
    let mut drops = rebuild(&OV24_REBUILD);
    let mut said = |group: &str, lubricant: &str| -> Option<bool> {
        let name = format!("torque {group}");
        let was = find(&mut drops, &name).clone();
        find(&mut drops, &name)["body"]["torque"][0]["lubricant"] = lubricant.into();
        let open = stand(&drops).blockers.into_iter().find(|b| b.rule == BlockerRule::Lubricant);
        *find(&mut drops, &name) = was;
        open.map(|b| b.what.contains("is that the same?"))
    };
    for (group, alike) in [
        ("G01", "engine oil"),
        ("G01", "Oil, 10W-30"),
        ("G03", "oil"),
        ("G05", "thread-locker, medium"),
        ("G08", "dry and clean"),
        ("G14", "antiseize"),
        ("G12", "thread sealant"),
    ] {
        assert_eq!(said(group, alike), None, "{group} {alike}");
    }
    for (group, other) in
        [("G01", "dry"), ("G01", "moly"), ("G08", "engine oil"), ("G05", "oil"), ("G14", "oil")]
    {
        assert_eq!(said(group, other), Some(false), "{group} {other}");
    }
    for (group, unknown) in [("G01", "assembly lube"), ("G01", "oil with moly"), ("G08", "brake cleaner")] {
        assert_eq!(said(group, unknown), Some(true), "{group} {unknown}");
    }
}
