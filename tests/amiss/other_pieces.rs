//! Another piece in the place of one that was there: what was read, fitted and tightened with the first says nothing of it.

use super::*;

fn said(drops: &[Named], words: &str) -> Vec<String> {
    let blockers = stand(drops).blockers;
    let all = blockers.iter().map(|b| format!("{} {}: {}", b.rule.word(), b.about, b.what));
    all.filter(|line| line.contains(words)).collect()
}

fn alarms(drops: &[Named], which: fn(&AlertItem) -> bool) -> Vec<AlertItem> {
    let drops: Vec<Value> = drops.iter().map(|(_, drop)| drop.clone()).collect();
    standing_alerts(&support::look(&drops), jiff::Timestamp::UNIX_EPOCH).into_iter().filter(which).collect()
}

fn another(part: &str, position: Option<&str>) -> Named {
    let mut body =
        json!({"part": part, "event": "replaced", "state": "used", "why": "lost at the machinist"});
    if let Some(position) = position {
        body["position"] = position.into();
    }
    drop("part", AFTER_ALL, body)
}

/// A cap was bored with its block (trade notes C2: caps are never swapped): housing, alignment and clearance are read anew, the
/// others stay read.
#[test]
fn another_cap_is_another_housing() {
    let all = rebuild(&OV24_REBUILD);
    assert_eq!(open(&all), Vec::<String>::new());
    let with = [all, vec![another("main cap", Some("4"))]].concat();
    for (rule, about) in [
        ("measured", "main housing 4"),
        ("measured", "adjacent main alignment 1 to 2, 2 to 3, 3 to 4, 4 to 5"),
        ("fitted", "main cap 4"),
    ] {
        assert_eq!(said(&with, &format!("{rule} {about}:")).len(), 1, "{rule} {about}: {:?}", open(&with));
    }
    assert!(open(&with).iter().all(|line| !line.contains("main housing 3")), "{:?}", open(&with));
    let (_, judgement) = folded(&with);
    let clearance = |position: &str| {
        let name = format!("main clearance {position}");
        judgement.standing().any(|verdict| verdict.name == name && verdict.judged.is_some())
    };
    assert_eq!([clearance("4"), clearance("3")], [false, true]);
    // A rod with another cap is resized; its neighbours are not asked for.
    let with = [rebuild(&OV24_REBUILD), vec![another("rod cap", Some("2"))]].concat();
    assert_eq!(said(&with, "measured rod housing 2:").len(), 1, "{:?}", open(&with));
    assert!(open(&with).iter().all(|line| !line.contains("rod housing 1")), "{:?}", open(&with));
}

/// Another head brings nothing of what sat on the first, and its gasket was pressed once (trade notes C2: always new).
#[test]
fn another_head_is_put_together_anew() {
    let with = [rebuild(&OV24_REBUILD), vec![another("head", None)]].concat();
    for part in
        ["intake valve", "valve stem seal", "valve spring", "rocker", "intake manifold", "thermostat housing"]
    {
        assert!(!said(&with, &format!("fitted {part}")).is_empty(), "{part}: {:?}", open(&with));
    }
    for group in
        ["G03 Cylinder head", "G13 Intake manifold", "G15 Rocker shaft stands", "G18 Thermostat housing"]
    {
        assert_eq!(said(&with, &format!("tightened {group}: not recorded")).len(), 1, "{group}");
    }
    assert_eq!(said(&with, "fitted head gasket: it was clamped").len(), 1, "{:?}", open(&with));
    // What sits on the block and in it is where it was.
    for part in ["piston", "crankshaft", "camshaft"] {
        assert_eq!(said(&with, &format!("fitted {part}")), Vec::<String>::new());
    }
}

/// Plugs that were counted into the first block are not in another: it may come bare, and a gallery plug left out is no oil
/// pressure (trade notes, section D).
#[test]
fn another_block_has_its_own_plugs() {
    let all = rebuild(&OV24_REBUILD);
    let with = [all.clone(), vec![another("block", None)]].concat();
    for group in ["G20 Oil gallery plugs", "G21 Core plugs"] {
        assert_eq!(said(&all, &format!("plugs in {group}")), Vec::<String>::new());
        assert_eq!(said(&with, &format!("plugs in {group}: 0 of ")).len(), 1, "{group}: {:?}", open(&with));
    }
    let counted = json!({"group": "G20", "state": "used", "pieces": [{"size": "1/4-18 NPT", "count": 4},
        {"size": "1/8-27 NPT", "count": 3}]});
    let counted = [with, vec![drop("hardware", "2026-04-01T10:30:00Z", counted)]].concat();
    assert_eq!(said(&counted, "plugs in G20"), Vec::<String>::new());
}

/// How another crank ran nobody can measure here; how it sits now is measured.
#[test]
fn another_crank_never_ran_here() {
    let with = [rebuild(&OV24_REBUILD), vec![another("crankshaft", None)]].concat();
    assert_eq!(said(&with, "as it ran"), Vec::<String>::new());
    assert!(!said(&with, "as fitted crankshaft end play").is_empty(), "{:?}", open(&with));
    assert_eq!(said(&with, "done main journal"), Vec::<String>::new());
}

/// A head that came off alone keeps its valves; the gasket is a new one, and one bolt that was changed asks for none.
#[test]
fn a_gasket_is_pressed_once() {
    let all = rebuild(&OV24_REBUILD);
    let off = drop("part", AFTER_ALL, json!({"part": "head", "event": "off", "where": "bench"}));
    let lifted = [all.clone(), vec![off]].concat();
    assert_eq!(said(&lifted, "fitted head gasket: it was clamped").len(), 1, "{:?}", open(&lifted));
    assert_eq!(said(&lifted, "fitted intake valve"), Vec::<String>::new());
    let new = drop(
        "assembly",
        "2026-04-01T10:30:00Z",
        json!({"fitted": [{"part": "head gasket", "state": "new"}]}),
    );
    assert_eq!(said(&[lifted, vec![new]].concat(), "fitted head gasket"), Vec::<String>::new());
    let one = json!({"torque": [{"group": "G03", "places": ["P5"], "lubricant": "oil threads and under head", "bolts": "new",
        "slackened": "the old one is out"}]});
    let changed = [all, vec![drop("assembly", AFTER_ALL, one)]].concat();
    assert_eq!(said(&changed, "head gasket"), Vec::<String>::new());
}

/// What sat one way and went in the other: cap arrows are the plainest. Words that say the same in another way are not asked about.
#[test]
fn the_other_way_round_is_asked_about() {
    let all = rebuild(&OV24_REBUILD);
    let turned = |off: &str, fitted: &str| {
        let mut drops = all.clone();
        let at = after(&drops, "off main cap", 1);
        if !off.is_empty() {
            let body = json!({"part": "main cap", "position": "2", "event": "off", "way-round": off});
            drops.push(drop("part", &at, body));
        }
        let body = json!({"fitted": [{"part": "main cap", "positions": ["2"], "state": "used", "way-round": fitted}]});
        drops.push(drop("assembly", AFTER_ALL, body));
        said(&drops, "fitted main cap 2: fitted \"")
    };
    assert_eq!(turned("arrow to the front", "arrow to the rear").len(), 1);
    assert_eq!(turned("arrow to the front", "arrow front, number up").len(), 0);
    assert_eq!(turned("", "arrow to the rear").len(), 0);
}

/// A part lost on the way is the owner's business at once, with what was made together with it; one that never came is not.
#[test]
fn a_lost_part_is_told() {
    let missing = drop("part", AFTER_ALL, json!({"part": "main cap", "position": "5", "event": "missing"}));
    let told = |drops: &[Named]| alarms(drops, |item| item.heading == "A part is lost");
    let lost = told(&[rebuild(&OV24_REBUILD), vec![missing.clone()]].concat());
    assert_eq!(lost.iter().map(|item| item.headline.as_str()).collect::<Vec<_>>(), ["main cap 5 is lost"]);
    assert!(lost[0].lines[1].contains("Main housing bore"), "{:?}", lost[0].lines);
    assert!(
        told(
            &[
                [rebuild(&OV24_REBUILD), vec![missing]].concat(),
                vec![drop(
                    "part",
                    "2026-04-01T11:00:00Z",
                    json!({"part": "main cap", "position": "5", "event": "replaced", "state": "used"})
                )]
            ]
            .concat()
        )
        .is_empty()
    );
}

/// The machinist needs another week: the order says so again with another day, and is no second order.
#[test]
fn an_order_has_a_new_day() {
    let mut drops = rebuild(&OV24_REBUILD);
    drops.retain(|(name, _)| name != "order WO-1 back");
    let mut again = find(&mut drops, "order WO-1 out").clone();
    again["body"]["out"]["due"] = "2026-12-27".into();
    again["recorded"] = AFTER_ALL.into();
    drops.push(("again".to_owned(), again.clone()));
    let values = |drops: &[Named]| drops.iter().map(|(_, drop)| drop.clone()).collect::<Vec<Value>>();
    let (_, job, _) = support::folded(&values(&drops));
    let before = job.held.len();
    let order = job.orders.values().find(|order| order.number == "WO-1").unwrap();
    assert_eq!((order.out.due.to_string(), order.were_due.len()), ("2026-12-27".to_owned(), 1));
    assert_eq!(order.due_words(), "2026-12-27; before that 2026-12-20");
    // Another word beside the day is another order, and that is asked about.
    again["body"]["out"]["due"] = "2026-12-30".into();
    again["body"]["out"]["tolerance"] = "0.0005 in less".into();
    drops.push(("other".to_owned(), again));
    assert_eq!(support::folded(&values(&drops)).1.held.len(), before + 1);
}

/// Work on a head asks nobody to wash the bores of a block that is closed; work on the block does.
#[test]
fn what_was_cut_is_washed() {
    let insert = |part: &str| {
        let body = json!({"operation": "thread insert", "parts": [{"part": part}]});
        said(
            &[rebuild(&OV24_REBUILD), vec![drop("operation", AFTER_ALL, body)]].concat(),
            "answered before thread insert",
        )
    };
    assert_eq!(insert("head"), Vec::<String>::new());
    let block = insert("block");
    assert_eq!(block.len(), 3, "{block:?}");
}

/// The same road in other shapes: fitted and tightened in one drop, a part of several that are pressed, a cap fitted by a drop of
/// its own.
#[test]
fn the_shape_of_the_drops_makes_no_difference() {
    let all = rebuild(&OV24_REBUILD);
    let both = json!({"fitted": [{"part": "head gasket", "state": "new"}], "torque": [{"group": "G03",
        "lubricant": "oil threads and under head", "bolts": "new", "slackened": "all ten are out"}]});
    let off = drop("part", "2026-04-01T11:00:00Z", json!({"part": "head", "event": "off", "where": "bench"}));
    let lifted = [all.clone(), vec![drop("assembly", AFTER_ALL, both), off]].concat();
    assert_eq!(said(&lifted, "fitted head gasket: it was clamped").len(), 1, "{:?}", open(&lifted));

    let at = after(&all, "off main cap", 1);
    let cap = |recorded: &str, event: &str, way: &str| {
        let body = json!({"part": "main cap", "position": "2", "event": event, "way-round": way});
        drop("part", recorded, body)
    };
    let turned = [
        all.clone(),
        vec![cap(&at, "off", "arrow to the front"), cap(AFTER_ALL, "fitted", "arrow to the rear")],
    ]
    .concat();
    assert_eq!(said(&turned, "fitted main cap 2: fitted \"").len(), 1, "{:?}", open(&turned));
}

/// What is given up and not always new is replaced by a word of its own: fitted new alone, the readings of the first would pass
/// for those of the second.
#[test]
fn a_piece_given_up_is_replaced_in_words() {
    let decided =
        json!({"disposition": {"part": "crankshaft", "what": "replace", "why": "worn", "by": "Rowan Holt"}});
    let fitted = json!({"fitted": [{"part": "crankshaft", "state": "new"}]});
    let drops = [rebuild(&OV24_REBUILD), vec![drop("decision", AFTER_ALL, decided)]].concat();
    let with = [drops, vec![drop("assembly", "2026-04-01T11:00:00Z", fitted)]].concat();
    assert_eq!(
        said(&with, "carried out crankshaft: replace by Rowan Holt's word").len(),
        1,
        "{:?}",
        open(&with)
    );
}

/// A block that took the place of another was never washed, and a crack is not denied by work beside it.
#[test]
fn what_was_said_of_the_first_piece_is_not_said_of_the_second() {
    let with = [rebuild(&OV24_REBUILD), vec![another("block", None)]].concat();
    for check in ["bores washed", "white cloth", "galleries clean"] {
        assert_eq!(
            said(&with, &format!("checked {check}: answered before another block came")).len(),
            1,
            "{check}"
        );
    }
    let crack = |recorded: &str, defect: &str, severity: u8| {
        let seen = json!({"part": "block", "defect": defect, "severity": severity, "where": "main web 3"});
        drop("finding", recorded, json!({"findings": [seen]}))
    };
    let work = |operation: &str| {
        drop(
            "operation",
            "2026-04-01T10:30:00Z",
            json!({"operation": operation, "parts": [{"part": "block"}]}),
        )
    };
    let denied = |operation: &str| {
        let more = vec![
            crack(AFTER_ALL, "crack", 2),
            work(operation),
            crack("2026-04-01T11:00:00Z", "nothing found", 0),
        ];
        said(&[rebuild(&OV24_REBUILD), more].concat(), "one of the two is wrong").len()
    };
    assert_eq!([denied("hone"), denied("weld")], [1, 0]);
}

/// The words of another shop for a part: held, since nobody can know, and the sheet's own names are offered.
#[test]
fn names_that_may_be_meant_are_offered() {
    let held = |part: &str| {
        let off = drop("part", AFTER_ALL, json!({"part": part, "position": "1", "event": "off"}));
        let drops: Vec<Value> =
            [rebuild(&OV24_REBUILD), vec![off]].concat().into_iter().map(|(_, drop)| drop).collect();
        let held = support::folded(&drops).1.held;
        held.iter().map(|held| held.why.to_string()).collect::<String>()
    };
    assert!(held("conrod").contains("part conrod (is rod"), "{}", held("conrod"));
    assert!(held("main bearing cap").contains("main cap"), "{}", held("main bearing cap"));
    assert!(held("flywhel").contains("(is flywheel meant?)"), "{}", held("flywhel"));
    assert!(held("turbocharger").contains("part turbocharger;"), "{}", held("turbocharger"));
}

/// Assembled behind signed gates is no fault of the bench, whatever opens one later; without the signature it is.
#[test]
fn a_gate_that_opens_again_is_not_blamed_on_who_assembled() {
    let headings = |drops: &[Named]| -> Vec<&str> {
        alarms(drops, |item| item.key == "out of turn").iter().map(|item| item.heading).collect()
    };
    let all = rebuild(&OV24_REBUILD);
    assert_eq!(headings(&all), Vec::<&str>::new());
    let reopened = [all.clone(), vec![another("block", None)]].concat();
    assert_eq!(headings(&reopened), ["A gate is open again"]);
    let is_signed = |drop: &Value, step: &str| drop["kind"] == "sign-off" && drop["body"]["step"] == step;
    let unsigned: Vec<Named> = all.into_iter().filter(|(_, drop)| !is_signed(drop, "inspection")).collect();
    assert_eq!(headings(&unsigned), ["Assembled with a gate open"]);
}

/// None named is all of them, of what happens to all at once; which one was replaced is asked.
#[test]
fn no_position_is_every_position_where_it_may_be() {
    let after = |body: Value| {
        let drops = [support::shop_with_engine(), vec![support::drop_at("part", 30, body)]].concat();
        support::look(&drops).job
    };
    let is_off = |job: &benchdrop::shop::Job| job.parts.values().filter(|life| life.off.is_some()).count();
    let off = after(json!({"part": "piston", "event": "off", "where": "tray 2"}));
    assert_eq!((is_off(&off), off.held.len()), (4, 0));
    for body in [
        json!({"part": "piston", "event": "replaced", "state": "used", "why": "scored"}),
        json!({"part": "piston", "event": "off", "where": "tray 2", "trouble": "broken"}),
    ] {
        let job = after(body);
        assert_eq!((is_off(&job), job.held.len()), (0, 1));
        assert!(job.held[0].why.to_string().contains("name which of 1, 2, 3, 4"), "{}", job.held[0].why);
    }
}
