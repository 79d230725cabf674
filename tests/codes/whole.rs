//! Codes over a whole history: which statement changes which, in every order, and who is told of what was signed.

use super::values::{confirm, estimate};
use super::*;
use benchdrop::facts::{Code, Digest, Fact};
use benchdrop::notices::{Letter, Told};
use benchdrop::pages::canonical_dump;
use benchdrop::respond::respond;
use benchdrop::shop::Touching;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Name, drop, and the first gate it matters to: none for what no signature rests on.
type Entry = (&'static str, Value, Option<Stage>);

fn whole_history() -> Vec<Entry> {
    use Stage::{CheckedIn, Inspection, Machining, Reassembly, Released, Teardown};
    let work = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]}});
    let grind = json!({"operation": "grind", "unit": "in", "finished": "0.010 under",
        "places": [{"feature": "main journal", "positions": ["all"]}]});
    let again: Vec<Value> =
        ["1", "2", "3", "4", "5"].iter().flat_map(|p| journal("main journal", p, ["2.2393"; 4])).collect();
    let part = |minute, event: &str| drop_at("part", minute, json!({"part": "crankshaft", "event": event}));
    let fitted = json!({"fitted": [{"part": "crankshaft", "state": "used"}]});
    let leave = json!({"authority": {"granted": true, "by": "Ferrowmere Mill", "how": "mail"}});
    let seen = json!({"findings": [{"part": "crankshaft", "defect": "nothing found", "severity": 0}]});
    vec![
        ("sheet", serde_json::from_str(OV24).unwrap(), Some(CheckedIn)),
        ("house rules", house_rules(0), Some(CheckedIn)),
        ("MIC", gauge(1, "MIC", "micrometer", None), Some(Inspection)),
        ("BORE", gauge(2, "BORE", "dial bore gauge", Some("MIC")), Some(Inspection)),
        ("unused gauge", gauge(3, "BALL", "ball micrometer", None), None),
        ("check-in", check_in(10), Some(CheckedIn)),
        ("leave", drop_at("decision", 11, leave), Some(CheckedIn)),
        ("off", part(12, "off"), Some(Teardown)),
        (
            "moved",
            drop_at("part", 13, json!({"part": "crankshaft", "event": "moved", "where": "rack 2"})),
            None,
        ),
        ("bores", measured(20, "as received", "BORE", bores()), Some(Inspection)),
        ("mains", measured(21, "as received", "MIC", mains()), Some(Inspection)),
        ("pins", measured(23, "as received", "MIC", pins(&["1", "2", "3", "4"])), Some(Inspection)),
        ("looked at", drop_at("finding", 24, seen.clone()), Some(Inspection)),
        ("estimate", estimate(25, "1250.00", ""), Some(Inspection)),
        ("agreed", drop_at("decision", 30, work), Some(Inspection)),
        ("signed", sign(31, "inspection", None), None),
        ("grind", drop_at("operation", 40, grind), Some(Machining)),
        ("looked at again", drop_at("finding", 41, seen), Some(Machining)),
        ("measured again", measured(50, "after work", "MIC", again), Some(Machining)),
        ("fitted", drop_at("assembly", 61, fitted), Some(Reassembly)),
        ("hours", drop_at("account", 62, json!({"hours": {"hours": "2.5", "what": "assembly"}})), None),
        ("paid", drop_at("account", 63, json!({"paid": {"amount": "1250.00"}})), Some(Released)),
    ]
}

const STEPS: [(&str, Stage); 5] = [
    ("sign teardown", Stage::Teardown),
    ("sign inspection", Stage::Inspection),
    ("sign machining", Stage::Machining),
    ("sign reassembly", Stage::Reassembly),
    ("sign engine", Stage::Released),
];

fn facts_halves(view: &JobView) -> BTreeMap<&'static str, String> {
    STEPS
        .iter()
        .map(|(step, _)| (*step, Code::parse(&code(view, step)).unwrap().facts().to_owned()))
        .collect()
}

/// Each statement left out alone: the facts half of a step's code changes exactly when the statement matters up to its
/// gate. The gates stand in a table written by hand, from the steps of the trade.
#[test]
fn a_code_changes_exactly_when_it_should() {
    let history = whole_history();
    for (name, left_out, matters) in &history {
        // Without sheet or check-in nothing can be signed at all.
        if ["sheet", "check-in"].contains(name) {
            continue;
        }
        // Which gate the second look at the crank belongs to hangs on the grind before it.
        let others = history.iter().filter(|(other, ..)| *name != "grind" || *other != "looked at again");
        let all: Vec<Value> = others.map(|(_, drop, _)| drop.clone()).collect();
        let rest: Vec<Value> = all.iter().filter(|drop| *drop != left_out).cloned().collect();
        let (whole, without) = (facts_halves(&look(&all)), facts_halves(&look(&rest)));
        for (step, gate) in STEPS {
            let expected = matters.is_some_and(|first| first <= gate);
            assert_eq!(without[step] != whole[step], expected, "{name} left out, {step}");
        }
    }
}

/// What a step's code counts is worked out from everything there is where nothing later was said, and folded again where
/// something was: both ways give the same code, facts and outcome.
#[test]
fn later_steps_leave_the_codes_of_earlier_ones() {
    let history = whole_history();
    let of = |last: Option<Stage>| {
        let kept = |first: &Option<Stage>| last.is_none_or(|last| first.is_none_or(|first| first <= last));
        let drops = history.iter().filter(|(_, _, first)| kept(first)).map(|(_, drop, _)| drop.clone());
        look(&drops.collect::<Vec<_>>())
    };
    let whole = of(None);
    let mut outcomes = BTreeSet::new();
    for (step, gate) in STEPS {
        let quoted = code(&whole, step);
        assert_eq!(quoted, code(&of(Some(gate)), step), "{step}");
        outcomes.insert(Code::parse(&quoted).unwrap().outcome().to_owned());
    }
    assert!(outcomes.len() > 2, "the steps come to different things: {outcomes:?}");
}

/// The statements about a thing, by the table and one by one.
#[test]
fn statements_are_found_by_what_they_are_about() {
    let drops: Vec<Value> = whole_history().into_iter().map(|(_, drop, _)| drop).collect();
    let job = look(&drops).job;
    let touching = Touching::of(&job);
    let mut sizes = BTreeSet::new();
    for about in
        ["bore 1, 2", "main journal", "main journal 3", "crankpin 2", "crankshaft", "block", "piston 2", ""]
    {
        let things = job.things_named(about);
        let meets = |fact: &&Arc<Fact>| job.meet(&things, &job.touched_by(fact));
        let slow: BTreeSet<Digest> = job.statements().iter().filter(meets).map(|fact| fact.id).collect();
        let all = || job.statements().iter().map(|fact| fact.id).collect();
        assert_eq!(touching.about(&job, &things).unwrap_or_else(all), slow, "{about}");
        sizes.insert(slow.len());
    }
    assert!(sizes.len() > 3, "{sizes:?}");
}

/// Signing, waiving, and a revision of the sheet recorded after check-in change no code.
#[test]
fn signing_changes_no_code() {
    let drops = without_pins();
    let codes = |view: &JobView| {
        to_sign(view).iter().map(|s| (s.what.clone(), s.code.to_string())).collect::<Vec<_>>()
    };
    let before = codes(&look(&drops));
    let quoted = code(&look(&drops), "waive measured of crankpin");
    let mut later: Value = serde_json::from_str(OV24).unwrap();
    later["body"]["revision"] = 2.into();
    later["recorded"] = "2026-03-09T08:00:00Z".into();
    let more =
        [sign(60, "inspection", None), sign(61, "engine", None), waive(62, PINS, Some(&quoted)), later];
    assert_eq!(before, codes(&look(&with(&drops, &more))));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..Default::default() })]

    /// Codes, waivers, annotations: the same in every order.
    #[test]
    fn any_order_gives_the_same_codes(order in Just((0..26_usize).collect::<Vec<_>>()).prop_shuffle()) {
        let mut drops: Vec<Value> = whole_history().into_iter().map(|(_, drop, _)| drop).collect();
        drops.push(sign(64, "engine", Some("0123456789-0123456789")));
        drops.push(waive(65, PINS, None));
        drops.push(agreeing(66));
        drops.push(confirm(67, &drops[10].clone(), None));
        prop_assert_eq!(drops.len(), 26);
        let shuffled: Vec<Value> = order.iter().map(|index| drops[*index].clone()).collect();
        prop_assert_eq!(canonical_dump(&look(&drops)), canonical_dump(&look(&shuffled)));
    }
}

fn with_people(drops: &[Value]) -> Vec<Value> {
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "rowan@shop.example"},
        {"name": "Lee Marsh", "initials": "LM", "roles": ["bench"], "mail": "lee@shop.example"}]});
    with(drops, &[shop_drop("people", 0, people)])
}

/// What is mailed back after these drops.
fn mailed_back(drops: &[Value], told: &Told) -> (Vec<Letter>, Told) {
    let (job, shop) = sets(drops);
    let now = "2026-03-02T12:00:00Z".parse().unwrap();
    let response = respond(&JobKey::of(JOB, SITE).unwrap(), job, told, &shop, [], now);
    let back = response.letters.into_iter().filter(|letter| letter.key.starts_with("recorded/"));
    (back.collect(), response.told)
}

/// A file proves no identity: who is named is told, once; a name nobody knows is told to the owner.
#[test]
fn each_statement_is_mailed_back_to_whoever_it_names() {
    let drops = with_people(&inspected());
    let named = |name: &str| drop_at("sign-off", 31, json!({"step": "inspection", "name": name}));
    let signed = with(&drops, &[named("lm")]);
    let (letters, told) = mailed_back(&signed, &Told::default());
    assert_eq!(letters.len(), 1);
    assert_eq!((letters[0].to.as_str(), letters[0].may_wait), ("lee@shop.example", true));
    assert_eq!(letters[0].subject, "24-017: recorded in your name: inspection signed");
    assert!(letters[0].text().contains("recorded 2026-03-02 08:31 by LM on tablet 1"));
    assert_eq!(mailed_back(&signed, &told).0, []);
    // Not again when it is re-opened, and again for the next one.
    assert_eq!(mailed_back(&with(&signed, &[worn(50, &drops[7])]), &told).0, []);
    let (letters, _) = mailed_back(&with(&drops, &[named("A. Stranger")]), &Told::default());
    assert_eq!(letters.len(), 1);
    assert_eq!(letters[0].to, "rowan@shop.example");
    assert!(letters[0].subject.contains("in the name of A. Stranger"));
}

/// Sizes, what becomes of parts, leave, readings confirmed and revisions moved are words of people like any signature.
#[test]
fn every_decision_is_mailed_back() {
    let drops = with_people(&inspected());
    let pins = drops.iter().rfind(|drop| drop["kind"] == "measurements").unwrap();
    let work = json!([{"operation": "grind", "feature": "main journal", "positions": ["all"],
        "finished": "0.010 under"}]);
    let reading = json!({"drop": fact(pins).id.hex(), "feature": "crankpin", "position": "2",
        "station": "front", "direction": "X", "why": "read twice"});
    let table = [
        (
            json!({"agreed-work": {"unit": "in", "agreed-by": "RH", "work": work}}),
            "rowan@shop.example",
            "work agreed: grind main journal to 0.010 under",
        ),
        (
            json!({"disposition": {"part": "piston", "positions": ["2", "3"], "what": "scrap", "why": "cracked",
                "by": "Rowan Holt"}}),
            "rowan@shop.example",
            "piston 2, 3: scrap",
        ),
        (
            json!({"authority": {"granted": true, "by": "Lee Marsh", "how": "mail", "price": "180.00"}}),
            "lee@shop.example",
            "leave to take it apart given at 180.00",
        ),
        (json!({"confirm-reading": reading}), "lee@shop.example", "reading of crankpin 2 front X confirmed"),
        (
            json!({"revision": {"house-rules": 1, "why": "newer limits", "by": "Rowan Holt"}}),
            "rowan@shop.example",
            "moved to house rules revision 1",
        ),
    ];
    let said: Vec<Value> =
        (30..).zip(&table).map(|(minute, (body, ..))| drop_at("decision", minute, body.clone())).collect();
    for (one, (_, to, what)) in said.iter().zip(&table) {
        let alone = with(&drops, std::slice::from_ref(one));
        let (letters, told) = mailed_back(&alone, &Told::default());
        let found: Vec<_> = letters.iter().map(|l| (l.to.as_str(), l.subject.as_str())).collect();
        assert_eq!(found, [(*to, format!("24-017: recorded in your name: {what}").as_str())]);
        assert_eq!(mailed_back(&alone, &told).0, [], "{what} once");
    }
    // All in one batch: a letter a person, each statement in it.
    let (letters, _) = mailed_back(&with(&drops, &said), &Told::default());
    assert_eq!(letters.len(), 2);
    for (_, to, what) in &table {
        let letter = letters.iter().find(|letter| letter.to == *to).unwrap();
        assert_eq!(letter.text().matches(what).count(), 1 + usize::from(letter.subject.contains(what)));
    }
    // What nobody can understand yet is told when it is understood.
    let early: Vec<Value> = with(&drops, &said).into_iter().filter(|d| d["kind"] != "check-in").collect();
    assert_eq!(mailed_back(&early, &Told::default()).0, []);
}
