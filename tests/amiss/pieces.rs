//! Pieces that are always new are new, counts add up, what broke stays a problem, and a part that is out is said to be out.

use super::*;

fn of(drops: &[Named], rule: BlockerRule) -> Vec<String> {
    let open = stand(drops).blockers.into_iter().filter(|blocker| blocker.rule == rule);
    open.map(|b| format!("{}: {}", b.about, b.what)).collect()
}

fn count(recorded: &str, group: &str, state: &str, size: &str, count: u32) -> Named {
    let mut body = json!({"group": group, "state": state, "pieces": [{"size": size, "count": count}]});
    if ["lost", "broken", "scrapped", "spare"].contains(&state) {
        body["why"] = "rolled away".into();
    }
    drop("hardware", recorded, body)
}

/// The sheet's nuts, washers and spark plugs that are always new (trade notes H1, joint by joint).
#[test]
fn nuts_and_plugs_are_new_as_the_sheet_says() {
    let all = rebuild(&OV24_REBUILD);
    let open = |drops: &[Named]| of(drops, BlockerRule::AlwaysNew);
    assert_eq!(open(&all), Vec::<String>::new());
    for (group, what, has) in
        [("G02", "nuts", 8), ("G04", "lock washer", 1), ("G14", "nuts", 8), ("G24", "washer", 1)]
    {
        let mut without = all.clone();
        without.retain(|(name, _)| *name != format!("always new {group}"));
        let found = open(&without);
        let asked = format!("0 of {has} new {what} counted in");
        assert!(found.len() == 1 && found[0].starts_with(group) && found[0].contains(&asked), "{found:?}");
        without.push(count(AFTER_ALL, group, "used", what, has));
        assert!(open(&without)[0].contains(&format!("{has} {what} marked used")), "{:?}", open(&without));
    }
    // Spark plugs are a group of their own: old ones are said by the bag, or by who tightened them.
    let mut plugs = all.clone();
    find(&mut plugs, "bag used G22")["body"]["state"] = "used".into();
    assert!(open(&plugs)[0].starts_with("G22 Spark plugs: 4 14 mm marked used"), "{:?}", open(&plugs));
    let mut tightened = all;
    find(&mut tightened, "torque G22")["body"]["torque"][0]["bolts"] = "used".into();
    assert!(open(&tightened)[0].contains("used ones tightened"), "{:?}", open(&tightened));
}

/// Two came out and two are back in: none can be lost.
#[test]
fn what_does_not_add_up_is_asked() {
    let all = rebuild(&OV24_REBUILD);
    let with = |more: &[Named]| of(&[all.clone(), more.to_vec()].concat(), BlockerRule::BagsUsed);
    let plate = "5/16-18 x 0.75";
    for state in ["lost", "broken", "scrapped", "spare"] {
        let open = with(&[count(AFTER_ALL, "G05", state, plate, 2)]);
        assert!(open.len() == 1 && open[0].contains("do not add up"), "{state}: {open:?}");
        assert!(open[0].contains(&format!("2 used and 2 {state} of 2 bagged")), "{open:?}");
    }
    // One of the two is lost and a new one is in its place: that adds up.
    let later = "2026-04-01T11:00:00Z";
    let lost = [
        count(AFTER_ALL, "G05", "lost", plate, 1),
        count(later, "G05", "used", plate, 1),
        count(later, "G05", "replaced", plate, 1),
    ];
    assert_eq!(with(&lost), Vec::<String>::new());
}

/// A bolt that broke off, and a thread that pulled, are problems until somebody says what was done.
#[test]
fn what_broke_is_a_problem_until_somebody_closes_it() {
    let all = rebuild(&OV24_REBUILD);
    let problems = |drops: &[Named]| of(drops, BlockerRule::Problems);
    let broken = count(AFTER_ALL, "G14", "broken", "3/8-16 stud and nut", 1);
    let thread = |words: &str| {
        let mut named = count(AFTER_ALL, "G14", "bagged", "3/8-16 stud and nut", 8);
        named.1["body"]["thread"] = words.into();
        named
    };
    for (named, what) in [
        (broken, "1 3/8-16 stud and nut broken: rolled away"),
        (thread("two pulled"), "threads: two pulled"),
        (thread("Stripped at the rear"), "threads: Stripped at the rear"),
        (thread("one seized"), "threads: one seized"),
    ] {
        let mut drops = all.clone();
        drops.push(named.clone());
        let open = problems(&drops);
        assert!(open.len() == 1 && open[0].starts_with(&format!("G14 Exhaust manifold: {what}")), "{open:?}");
        // The same count once more is no second problem.
        let mut twice = named.1.clone();
        twice["recorded"] = "2026-04-01T10:30:00Z".into();
        drops.push(("again".to_owned(), twice));
        assert_eq!(problems(&drops).len(), 1);
        let closes =
            json!({"closes": {"drop": fact(&named.1).id.hex(), "how": "drilled out, insert fitted"}});
        drops.push(drop("finding", "2026-04-01T11:00:00Z", closes));
        assert_eq!(problems(&drops), Vec::<String>::new());
    }
    for sound in ["good", "none stripped", "clean, not pulled"] {
        assert_eq!(problems(&[all.clone(), vec![thread(sound)]].concat()), Vec::<String>::new(), "{sound}");
    }
}

/// Another rocker does not mend the stand under it: who says so closes what was wrong.
#[test]
fn another_part_closes_no_problem() {
    let mut drops = rebuild(&OV24_REBUILD);
    let seized = json!({"part": "rod", "position": "2", "event": "moved", "trouble": "seized",
        "why": "its bolt hole in the block is torn"});
    let seized = drop("part", "2026-03-02T12:00:00Z", seized);
    drops.extend([seized.clone(), rod_2("replaced", "2026-03-02T12:30:00Z")]);
    let open = of(&drops, BlockerRule::Problems);
    assert!(open.len() == 1 && open[0].contains("its bolt hole in the block is torn"), "{open:?}");
    let closes = json!({"closes": {"drop": fact(&seized.1).id.hex(), "how": "insert fitted"}});
    drops.push(drop("finding", AFTER_ALL, closes));
    assert_eq!(of(&drops, BlockerRule::Problems), Vec::<String>::new());
}

/// Where a part is, from the day it went out to the day it is back.
#[test]
fn a_part_that_is_out_is_with_whom_it_went_to() {
    let lies = |drops: &[Named], part: &str, position: usize| {
        let (job, _) = folded(drops);
        let kind = job.sheet.as_ref().unwrap().part(part).unwrap().0;
        job.parts[&(kind, position)].where_words()
    };
    let mut drops = rebuild(&OV24_REBUILD);
    let sent = after(&drops, "order WO-1 out", 0);
    drops.retain(|(_, drop)| drop["recorded"].as_str().unwrap() <= sent.as_str());
    let since = sent.get(..16).unwrap().replace('T', " ");
    assert_eq!(lies(&drops, "crankshaft", 0), format!("with Stenning Machine since {since} (WO-1)"));
    let mut rods = rebuild(&OV24_REBUILD);
    let out = json!({"order": "WO-9", "out": {"to": "Stenning Machine", "operation": "resize",
        "parts": [{"part": "rod", "count": 4}], "due": "2026-12-20"}});
    let lot = json!({"order": "WO-9", "back": {"parts": [{"part": "rod", "positions": ["1", "2"], "count": 2}],
        "result": "accepted"}});
    rods.push(drop("work-order", AFTER_ALL, out));
    assert_eq!(lies(&rods, "rod", 0), "with Stenning Machine since 2026-04-01 10:00 (WO-9)");
    rods.push(drop("work-order", "2026-04-02T10:00:00Z", lot));
    assert!(lies(&rods, "rod", 0).starts_with("fitted"), "{}", lies(&rods, "rod", 0));
    assert_eq!(lies(&rods, "rod", 2), "with Stenning Machine since 2026-04-01 10:00 (WO-9)");
}

/// A pin that is "counted back" is not back in its bore.
#[test]
fn pins_are_out_of_the_engine() {
    let kd3 = include_str!("../../schemas/examples/sheet.v1/pass/kd-3.json");
    let plan = rebuild::Plan { sheet: kd3, scope: "complete", cuts: &[] };
    let mut drops = rebuild(&plan);
    assert_eq!(of(&drops, BlockerRule::PinsIn), Vec::<String>::new());
    drops.retain(|(name, _)| !name.starts_with("pins in"));
    let open = of(&drops, BlockerRule::PinsIn);
    assert!(open.len() == 1 && open[0].contains("out of the engine again and back in the box"), "{open:?}");
    assert!(!open[0].contains("their place"), "{open:?}");
}
