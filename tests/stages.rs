//! Gates: take away one required fact, and exactly the named blocker with its actor appears. Guards promises 6 (a
//! gap is not a pass) and 9 (people decide).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

mod support;

use benchdrop::stages::{Actor, Blocker, BlockerRule, Stage, Standing, standing};
use serde_json::{Value, json};
use support::*;

const MAIN_SIZES: [&str; 4] = ["2.2488", "2.2487", "2.2488", "2.2487"];

/// Everything up to release: all as received readings, main 3 beyond, agreed, ground, measured again, signed.
fn whole_history() -> Vec<(&'static str, Value)> {
    let mut drops: Vec<(&'static str, Value)> = vec![
        ("sheet", serde_json::from_str(OV24).unwrap()),
        ("house rules", house_rules(0)),
        ("gauge", gauge(1, "MIC", "micrometer", None)),
        ("bore gauge", gauge(2, "BORE", "dial bore gauge", Some("MIC"))),
        ("check-in", check_in(10)),
    ];
    drops.push(("bores", measured(20, "as received", "BORE", bores())));
    let others = ["1", "2", "4", "5"].iter().flat_map(|p| journal("main journal", p, MAIN_SIZES)).collect();
    drops.push(("mains", measured(21, "as received", "MIC", others)));
    let third = journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]);
    drops.push(("main 3", measured(22, "as received", "MIC", third)));
    let pins = ["1", "2", "3", "4"]
        .iter()
        .flat_map(|p| journal("crankpin", p, ["1.9987", "1.9986", "1.9986", "1.9985"]));
    drops.push(("pins", measured(23, "as received", "MIC", pins.collect())));
    drops.push(("agreed work", drop_at("decision", 30, agreed("0.010 under"))));
    drops.push(("inspection", sign(31, "inspection")));
    drops.push(("grind", drop_at("operation", 40, ground("0.010 under"))));
    let again = ["1", "2", "3", "4", "5"].iter().flat_map(|p| journal("main journal", p, ["2.2393"; 4]));
    drops.push(("measured again", measured(50, "after work", "MIC", again.collect())));
    drops.push(("machining", sign(60, "machining")));
    drops.push(("reassembly", sign(61, "reassembly")));
    drops.push(("engine", sign(62, "engine")));
    drops
}

fn bores() -> Vec<Value> {
    let places =
        [("top", "X"), ("top", "Y"), ("middle", "X"), ("middle", "Y"), ("bottom", "X"), ("bottom", "Y")];
    let values = ["3.6130", "3.6124", "3.6122", "3.6118", "3.6114", "3.6112"];
    let bore =
        |p: &'static str| places.iter().zip(values).map(move |((s, d), v)| reading("bore", p, s, d, v));
    ["1", "2", "3", "4"].into_iter().flat_map(bore).collect()
}

fn agreed(size: &str) -> Value {
    json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": size}]}})
}

fn ground(size: &str) -> Value {
    json!({"operation": "grind", "unit": "in", "finished": size,
        "places": [{"feature": "main journal", "positions": ["all"]}]})
}

fn sign(minute: u32, step: &str) -> Value {
    drop_at("sign-off", minute, json!({"step": step, "name": "Rowan Holt"}))
}

fn stand(drops: &[Value]) -> Standing {
    let (_, job, judgement) = folded(drops);
    standing(&job, &judgement)
}

/// The history with changes: a name removed, or its drop replaced.
fn changed(name: &str, with: Option<Value>) -> Vec<Value> {
    let mut found = false;
    let drops = whole_history().into_iter().filter_map(|(drop_name, drop)| {
        if drop_name != name {
            return Some(drop);
        }
        found = true;
        with.clone()
    });
    let drops = drops.collect();
    assert!(found, "no drop is called {name}");
    drops
}

/// Gate, rule, actor, and what it is about.
type Brief<'a> = (Stage, BlockerRule, Actor, &'a str);

fn brief(standing: &Standing) -> Vec<Brief<'_>> {
    standing.blockers.iter().map(|b: &Blocker| (b.stage, b.rule, b.actor, b.about.as_str())).collect()
}

#[test]
fn the_whole_history_is_released() {
    let all: Vec<Value> = whole_history().into_iter().map(|(_, drop)| drop).collect();
    let standing = stand(&all);
    assert_eq!(brief(&standing), []);
    assert_eq!(standing.words(), "released");
}

/// For each required fact: removed alone, exactly these blockers appear. Positions that
/// miss the same places are one line.
#[test]
fn each_fact_removed_alone_blocks_where_it_belongs() {
    use Actor::{Bench, Machinist, Owner};
    use BlockerRule::{Agreed, Decided, Done, Measured, Received, Remeasured, Signed};
    let each = |names: &[&'static str], stage, rule, actor| -> Vec<Brief<'static>> {
        names.iter().map(|name| (stage, rule, actor, *name)).collect()
    };
    let mains = ["main journal 1, 2, 3, 4, 5"];
    let cases: Vec<(&str, Vec<Brief<'_>>)> = vec![
        ("bores", each(&["bore 1, 2, 3, 4"], Stage::Inspection, Measured, Bench)),
        ("pins", each(&["crankpin 1, 2, 3, 4"], Stage::Inspection, Measured, Bench)),
        ("agreed work", each(&mains, Stage::Machining, Agreed, Owner)),
        ("inspection", each(&[""], Stage::Inspection, Signed, Owner)),
        ("grind", each(&["main journal 1, 2, 3, 4, 5"], Stage::Machining, Done, Machinist)),
        ("measured again", each(&["main journal 1, 2, 3, 4, 5"], Stage::Machining, Remeasured, Bench)),
        ("machining", each(&[""], Stage::Machining, Signed, Owner)),
        ("reassembly", each(&[""], Stage::Reassembly, Signed, Owner)),
        ("engine", each(&[""], Stage::Released, Signed, Owner)),
    ];
    for (name, expected) in cases {
        let standing = stand(&changed(name, None));
        assert_eq!(brief(&standing), expected, "without {name}");
    }
    // What everything else rests on blocks the first gate; what follows cannot be said yet.
    for name in ["check-in", "sheet", "house rules"] {
        let standing = stand(&changed(name, None));
        assert_eq!(standing.stage, Stage::CheckedIn, "without {name}");
        assert_eq!(
            (standing.blockers[0].rule, standing.blockers[0].actor),
            (Received, Owner),
            "without {name}"
        );
    }
    // Without agreement and grind the verdict itself asks for a decision.
    let undecided: Vec<Value> = whole_history()
        .into_iter()
        .filter(|(name, _)| !["agreed work", "grind", "measured again", "machining"].contains(name))
        .map(|(_, drop)| drop)
        .collect();
    let standing = stand(&undecided);
    let about = |b: &&Brief<'_>| b.1 == Decided;
    let brief = brief(&standing);
    let decided: Vec<_> = brief.iter().filter(about).collect();
    assert_eq!(decided.len(), 2, "size and out-of-round of main 3: {decided:?}");
    assert!(decided.iter().all(|b| **b == (Stage::Inspection, Decided, Owner, "main journal 3")));
    assert_eq!(brief.len(), 2);
}

/// A re-measure that fails takes a signed and released engine back by itself.
#[test]
fn a_failed_remeasure_goes_back() {
    let ground_to = |two: &str| {
        let again = ["1", "2", "3", "4", "5"]
            .iter()
            .flat_map(|p| journal("main journal", p, [if *p == "2" { two } else { "2.2393" }; 4]));
        stand(&changed("measured again", Some(measured(50, "after work", "MIC", again.collect()))))
    };
    let blocked = |rule, actor| [(Stage::Machining, rule, actor, "main journal 2")];
    // Ground below the least of its size: no grinder puts that back, the owner says which size is next.
    let standing = ground_to("2.2386");
    assert_eq!(standing.words(), "machining");
    assert_eq!(brief(&standing), blocked(BlockerRule::Remeasured, Actor::Owner));
    // Off by more than the whole width of its limits all round, the gauge is asked first.
    let standing = ground_to("2.2380");
    assert_eq!(standing.words(), "machining");
    assert_eq!(brief(&standing), blocked(BlockerRule::Questioned, Actor::Bench));
}

/// A size that differs from what was agreed is the owner's to decide.
#[test]
fn another_size_than_agreed_blocks() {
    let standing = stand(&changed("agreed work", Some(drop_at("decision", 30, agreed("0.020 under")))));
    let brief = brief(&standing);
    assert_eq!(brief, [(Stage::Machining, BlockerRule::Agreed, Actor::Owner, "main journal 1, 2, 3, 4, 5")]);
}

/// Beyond and not proven asks the bench for repeats and orders nothing; an owner may accept it by name.
#[test]
fn not_proven_asks_for_repeats_or_a_name() {
    // 0.0001 below the limit: beyond by number, far from proven.
    let third = measured(
        22,
        "as received",
        "MIC",
        journal("main journal", "3", ["2.2479", "2.2479", "2.2480", "2.2480"]),
    );
    let mut drops: Vec<Value> = changed("main 3", Some(third));
    drops.retain(|drop| !["decision", "operation"].contains(&drop["kind"].as_str().unwrap()));
    drops.retain(|drop| drop["body"]["condition"] != "after work" && drop["body"]["step"] != "machining");
    let asked = stand(&drops);
    assert_eq!(brief(&asked), [(Stage::Inspection, BlockerRule::Decided, Actor::Bench, "main journal 3")]);
    drops.push(drop_at(
        "decision",
        30,
        json!({"accept": {"feature": "main journal", "positions": ["3"],
        "characteristic": "size", "why": "polished, half a tenth", "accepted-by": "Rowan Holt"}}),
    ));
    assert_eq!(brief(&stand(&drops)), []);
}

/// An accepted value stays accepted only while it is not proven beyond.
#[test]
fn proven_beyond_cannot_be_accepted_away() {
    let mut drops: Vec<Value> = whole_history()
        .into_iter()
        .filter(|(name, _)| !["agreed work", "grind", "measured again", "machining"].contains(name))
        .map(|(_, drop)| drop)
        .collect();
    drops.push(drop_at(
        "decision",
        70,
        json!({"accept": {"feature": "main journal", "positions": ["3"],
        "why": "looks fine", "accepted-by": "Rowan Holt"}}),
    ));
    let standing = stand(&drops);
    assert_eq!(standing.words(), "inspection");
    assert_eq!(standing.blockers.len(), 2);
}

/// A score on a bore that stands under the crankshaft is neither: it is held and said, and counts nowhere.
#[test]
fn a_score_lies_on_the_part_that_the_finding_is_about() {
    let scored = |minute: u32, part: &str| {
        let score =
            json!({"feature": "bore", "position": "2", "station": "top", "unit": "in", "depth": "0.004"});
        let seen = json!({"part": part, "defect": "scoring", "severity": 3, "score": score});
        drop_at("finding", minute, json!({"findings": [seen]}))
    };
    let mut drops = shop_with_engine();
    drops.extend([scored(35, "crankshaft"), scored(36, "block")]);
    let (_, job, _) = folded(&drops);
    let held: Vec<String> = job.held.iter().map(|held| held.why.to_string()).collect();
    assert_eq!(held.len(), 1, "{held:?}");
    assert!(held[0].starts_with("the sheet has no bore on the crankshaft"), "{held:?}");
    let counted: Vec<bool> = job.findings.iter().map(|finding| finding.score.is_some()).collect();
    assert_eq!(counted, [false, true]);
}
