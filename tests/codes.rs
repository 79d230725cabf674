//! Evidence codes: what a signature, a waiver, an approval and a confirmation rest on, and what becomes of each when
//! facts or outcome change. Guards promises 3 (order does not matter) and 9 (people decide).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

mod support;

use benchdrop::facts::{Checked, Code, Evidence, JobKey};
use benchdrop::notices::Told;
use benchdrop::pages::{JobView, canonical_dump, to_sign};
use benchdrop::respond::{respond, view};
use benchdrop::shop::{FactSet, Shop};
use benchdrop::stages::{BlockerRule, Stage, StatementNow, WaiverState};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use support::*;

const PINS: &str = "crankpin 1, 2, 3, 4";

fn sets(drops: &[Value]) -> (FactSet, Shop) {
    let (mut shop, mut job) = (FactSet::default(), FactSet::default());
    for fact in drops.iter().map(fact) {
        if fact.job.is_some() {
            job.insert(fact)
        } else {
            shop.insert(fact)
        };
    }
    (job, Shop::fold(&shop))
}

fn look(drops: &[Value]) -> JobView {
    let (job, shop) = sets(drops);
    view(&JobKey::of(JOB, SITE).unwrap(), &job, &shop)
}

fn with(drops: &[Value], more: &[Value]) -> Vec<Value> {
    [drops, more].concat()
}

fn code(view: &JobView, what: &str) -> String {
    let all = to_sign(view);
    let found = all.iter().find(|signable| signable.what.starts_with(what));
    found.unwrap_or_else(|| panic!("nothing like {what:?}: {all:#?}")).code.to_string()
}

/// The same facts, another outcome: what a code would be had the rules judged otherwise.
fn rejudged(code: &str) -> String {
    format!("{}-0000000000", code.split_once('-').unwrap().0)
}

fn bores() -> Vec<Value> {
    let places =
        [("top", "X"), ("top", "Y"), ("middle", "X"), ("middle", "Y"), ("bottom", "X"), ("bottom", "Y")];
    let values = ["3.6130", "3.6124", "3.6122", "3.6118", "3.6114", "3.6112"];
    let bore =
        |p: &'static str| places.iter().zip(values).map(move |((s, d), v)| reading("bore", p, s, d, v));
    ["1", "2", "3", "4"].into_iter().flat_map(bore).collect()
}

fn mains() -> Vec<Value> {
    let values = ["2.2488", "2.2487", "2.2488", "2.2487"];
    ["1", "2", "3", "4", "5"].iter().flat_map(|p| journal("main journal", p, values)).collect()
}

fn pins(positions: &[&str]) -> Vec<Value> {
    positions.iter().flat_map(|p| journal("crankpin", p, ["1.9987", "1.9986", "1.9986", "1.9985"])).collect()
}

/// Everything measured and inside, except the pins.
fn without_pins() -> Vec<Value> {
    let mut drops = shop_with_engine();
    drops.push(measured(20, "as received", "BORE", bores()));
    drops.push(measured(21, "as received", "MIC", mains()));
    drops
}

/// Everything that inspection asks for.
fn inspected() -> Vec<Value> {
    with(&without_pins(), &[measured(23, "as received", "MIC", pins(&["1", "2", "3", "4"]))])
}

fn sign(minute: u32, step: &str, evidence: Option<&str>) -> Value {
    let mut body = json!({"step": step, "name": "Rowan Holt"});
    if let Some(code) = evidence {
        body["evidence"] = code.into();
    }
    drop_at("sign-off", minute, body)
}

fn waive(minute: u32, about: &str, evidence: Option<&str>) -> Value {
    let mut waiver = json!({"gate": "inspection", "rule": "measured", "about": about,
        "why": "the customer brings the readings", "by": "Rowan Holt"});
    if let Some(code) = evidence {
        waiver["evidence"] = code.into();
    }
    drop_at("decision", minute, json!({"waiver": waiver}))
}

fn statement<'v>(view: &'v JobView, what: &str) -> &'v StatementNow {
    view.standing.statements.iter().find(|now| now.what == what).unwrap()
}

fn evidence(view: &JobView, what: &str) -> Evidence {
    statement(view, what).checked.as_ref().map(|checked: &Checked| checked.evidence).unwrap()
}

/// The one waiver's state, and whether the pins still block.
fn waived(drops: &[Value]) -> (WaiverState, Evidence, bool) {
    let view = look(drops);
    let now = view.standing.waived.last().unwrap();
    let blocks = view.standing.blockers.iter().any(|blocker| blocker.rule == BlockerRule::Measured);
    (now.state, now.checked.evidence, blocks)
}

/// One more reading of main journal 3 that says the same, and one that says it is worn out.
fn agreeing(minute: u32) -> Value {
    measured(minute, "as received", "MIC", vec![reading("main journal", "3", "front", "X", "2.2488")])
}

fn worn(minute: u32, of: &Value) -> Value {
    let mut drop = measured(minute, "as received", "MIC", journal("main journal", "3", ["2.2471"; 4]));
    drop["body"]["corrects"] = json!({"drop": fact(of).id.hex(), "why": "read on the wrong journal"});
    drop
}

#[test]
fn a_signature_on_each_of_the_four() {
    let drops = inspected();
    let quoted = code(&look(&drops), "sign inspection");
    let signed = with(&drops, &[sign(31, "inspection", Some(&quoted))]);
    let same = look(&signed);
    assert_eq!(evidence(&same, "inspection signed"), Evidence::Same);
    assert_eq!(statement(&same, "inspection signed").words(), "");
    assert!(same.standing.stage > Stage::Inspection);

    let other_rules = look(&with(&drops, &[sign(31, "inspection", Some(&rejudged(&quoted)))]));
    assert_eq!(evidence(&other_rules, "inspection signed"), Evidence::OtherOutcome);
    assert!(statement(&other_rules, "inspection signed").words().contains("rules have changed"));
    assert!(other_rules.standing.stage > Stage::Inspection);

    let annotated = look(&with(&signed, &[agreeing(25)]));
    assert_eq!(evidence(&annotated, "inspection signed"), Evidence::OtherFacts);
    assert!(statement(&annotated, "inspection signed").words().contains("same outcome"));
    assert!(annotated.standing.stage > Stage::Inspection);

    let late = with(&signed, &[worn(26, &drops[7])]);
    let reopened = look(&late);
    assert_eq!(evidence(&reopened, "inspection signed"), Evidence::Other);
    assert_eq!(reopened.standing.stage, Stage::Inspection);
    // Once what came up is decided, the signature is asked for again.
    let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]}});
    let decided = with(&late, &[drop_at("decision", 40, agreed)]);
    let again = look(&decided);
    let first = again.standing.here().next().unwrap();
    assert_eq!((first.stage, first.rule), (Stage::Inspection, BlockerRule::Signed));
    assert!(
        first.what.contains("signed by Rowan Holt") && first.what.contains("on other evidence"),
        "{first:?}"
    );
    // A later sign-off of the same step replaces the former.
    let code = code(&again, "sign inspection");
    let signed_again = look(&with(&decided, &[sign(41, "inspection", Some(&code))]));
    assert_eq!(evidence(&signed_again, "inspection signed"), Evidence::Same);
    assert_eq!(signed_again.standing.stage, Stage::Machining);
}

#[test]
fn a_signature_without_a_code_covers_what_was_recorded_up_to_its_time() {
    let drops = inspected();
    let signed = with(&drops, &[sign(31, "inspection", None)]);
    let plain = look(&signed);
    assert_eq!(evidence(&plain, "inspection signed"), Evidence::Same);
    assert!(statement(&plain, "inspection signed").words().contains("could not be noticed"));
    // Recorded before it and dropped late: nobody can tell that it was not seen.
    assert!(statement(&look(&with(&signed, &[worn(26, &drops[7])])), "inspection signed").stands());
    // Recorded after it: seen to be new.
    assert_eq!(evidence(&look(&with(&signed, &[agreeing(50)])), "inspection signed"), Evidence::OtherFacts);
    let reopened = look(&with(&signed, &[worn(50, &drops[7])]));
    assert_eq!(evidence(&reopened, "inspection signed"), Evidence::Other);
}

#[test]
fn a_waiver_on_each_of_the_four() {
    let drops = without_pins();
    let open = look(&drops);
    let quoted = code(&open, "waive measured of crankpin");
    let with_waiver = with(&drops, &[waive(60, PINS, Some(&quoted))]);
    assert_eq!(waived(&with_waiver), (WaiverState::Holds, Evidence::Same, false));
    // On the page for ever, with who and why.
    let page = benchdrop::pages::job_page(&look(&with_waiver));
    assert!(page.contains("waived by Rowan Holt") && page.contains("the customer brings the readings"));

    let other_rules = with(&drops, &[waive(60, PINS, Some(&rejudged(&quoted)))]);
    assert_eq!(waived(&other_rules), (WaiverState::Holds, Evidence::OtherOutcome, false));

    let cleaned = json!({"part": "crankshaft", "event": "cleaned", "method": "jet wash"});
    let annotated = with(&with_waiver, &[drop_at("part", 61, cleaned)]);
    assert_eq!(waived(&annotated), (WaiverState::Holds, Evidence::OtherFacts, false));

    let half = measured(50, "as received", "MIC", vec![reading("crankpin", "1", "front", "X", "1.9987")]);
    let back = with(&with_waiver, &[half]);
    assert_eq!(waived(&back), (WaiverState::Void, Evidence::Other, true));
    let blockers = look(&back).standing.blockers;
    assert!(blockers.iter().any(|b| b.what.contains("was waived by Rowan Holt")), "{blockers:?}");
}

#[test]
fn a_waiver_covers_its_thing_and_no_other() {
    let drops = without_pins();
    let quoted = code(&look(&drops), "waive measured of crankpin");
    let with_waiver = with(&drops, &[waive(60, PINS, Some(&quoted))]);
    // Other things change: the gate's code does, the waiver's does not.
    let (before, after) = (look(&with_waiver), look(&with(&with_waiver, &[agreeing(25)])));
    assert_ne!(code(&before, "sign inspection"), code(&after, "sign inspection"));
    assert_eq!(after.standing.waived[0].checked.evidence, Evidence::Same);
    // One pin is measured whole: the rest is still waived.
    let one = measured(61, "as received", "MIC", pins(&["1"]));
    assert_eq!(waived(&with(&with_waiver, &[one])), (WaiverState::Holds, Evidence::OtherFacts, false));
    // All are: nothing is left to waive.
    let all = measured(61, "as received", "MIC", pins(&["1", "2", "3", "4"]));
    assert_eq!(waived(&with(&with_waiver, &[all])).0, WaiverState::Idle);
    // A waiver of one pin does not cover four.
    assert_eq!(waived(&with(&drops, &[waive(60, "crankpin 2", None)])).0, WaiverState::Idle);
    // What lets nothing be understood cannot be set aside.
    let mut nothing: Vec<Value> = drops.iter().filter(|d| d["kind"] != "check-in").cloned().collect();
    nothing.push(drop_at(
        "decision",
        60,
        json!({"waiver": {"gate": "checked in", "rule": "received",
        "about": "", "why": "busy", "by": "Rowan Holt"}}),
    ));
    assert_eq!(look(&nothing).standing.stage, Stage::CheckedIn);
}

#[test]
fn a_waiver_without_a_code_two_waivers_and_a_withdrawn_one() {
    let drops = without_pins();
    let half = |minute| {
        measured(minute, "as received", "MIC", vec![reading("crankpin", "1", "front", "X", "1.9987")])
    };
    let codeless = with(&drops, &[waive(60, PINS, None)]);
    assert_eq!(waived(&codeless), (WaiverState::Holds, Evidence::Same, false));
    assert_eq!(waived(&with(&codeless, &[half(50)])).0, WaiverState::Holds, "a late file is not noticed");
    assert_eq!(waived(&with(&codeless, &[half(70)])), (WaiverState::Void, Evidence::Other, true));

    let quoted = code(&look(&drops), "waive measured of crankpin");
    let wrong = waive(59, PINS, Some("0000000000-0000000000"));
    let right = waive(60, PINS, Some(&quoted));
    let two = look(&with(&drops, &[wrong.clone(), right.clone()]));
    let states: Vec<WaiverState> = two.standing.waived.iter().map(|now| now.state).collect();
    assert_eq!(states, [WaiverState::Void, WaiverState::Holds]);
    assert!(two.standing.blockers.iter().all(|blocker| blocker.rule != BlockerRule::Measured));

    let void = drop_at("withdrawal", 65, json!({"drop": fact(&right).id.hex(), "why": "never said that"}));
    let withdrawn = look(&with(&drops, &[wrong, right, void]));
    assert_eq!(withdrawn.standing.waived.len(), 1);
    assert!(withdrawn.standing.blockers.iter().any(|blocker| blocker.rule == BlockerRule::Measured));
}

fn estimate(minute: u32, amount: &str, note: &str) -> Value {
    drop_at(
        "account",
        minute,
        json!({"estimate": {"lines": [{"what": "machining", "amount": amount}],
        "not-to-exceed": amount, "expires": "2026-06-30", "note": note}}),
    )
}

#[test]
fn an_approval_on_each_of_the_four() {
    let drops = with(&inspected(), &[estimate(24, "1250.00", "")]);
    let quoted = code(&look(&drops), "approve at most 1250.00");
    let approve = |code: &str| {
        drop_at(
            "decision",
            30,
            json!({"approval": {"granted": true, "by": "Ferrowmere Mill", "how": "mail",
            "evidence": code}}),
        )
    };
    let approved = with(&drops, &[approve(&quoted)]);
    let of = |drops: &[Value]| evidence(&look(drops), "money approved");
    assert_eq!(of(&approved), Evidence::Same);
    assert_eq!(of(&with(&drops, &[approve(&rejudged(&quoted))])), Evidence::OtherOutcome);
    assert_eq!(of(&with(&approved, &[estimate(40, "1250.00", "typed again")])), Evidence::OtherFacts);
    assert_eq!(of(&with(&approved, &[estimate(40, "1900.00", "")])), Evidence::Other);
    // Work agreed later is not what was approved.
    let more = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "hone", "feature": "bore", "positions": ["all"]}]}});
    assert_eq!(of(&with(&approved, &[drop_at("decision", 41, more)])), Evidence::Other);
    // What is measured is not what money rests on.
    assert_eq!(of(&with(&approved, &[agreeing(42)])), Evidence::Same);
}

fn confirm(minute: u32, of: &Value, evidence: Option<&str>) -> Value {
    let mut word = json!({"drop": fact(of).id.hex(), "feature": "main journal", "position": "3",
        "station": "front", "direction": "X", "why": "read twice"});
    if let Some(code) = evidence {
        word["evidence"] = code.into();
    }
    drop_at("decision", minute, json!({"confirm-reading": word}))
}

/// Two readings of one place that cannot both be right: both are asked about until both are confirmed.
#[test]
fn a_confirmation_on_each_of_the_four() {
    let one = |minute, value| {
        measured(minute, "as received", "MIC", vec![reading("main journal", "3", "front", "X", value)])
    };
    let pair = [one(20, "2.2488"), one(21, "2.2470")];
    let drops = with(&shop_with_engine(), &pair);
    let open = look(&drops);
    assert_eq!(open.judgement.questions.len(), 2);
    let codes: Vec<String> = pair
        .iter()
        .map(|drop| {
            let asked = open.judgement.questions.iter().find(|q| q.reading.fact == fact(drop).id).unwrap();
            asked.code.to_string()
        })
        .collect();
    let confirmed = |codes: [&str; 2]| {
        with(&drops, &[confirm(30, &pair[0], Some(codes[0])), confirm(31, &pair[1], Some(codes[1]))])
    };
    let of = |view: &JobView| -> Vec<Evidence> {
        view.judgement.confirmations.iter().map(|word| word.checked.evidence).collect()
    };
    let same = confirmed([&codes[0], &codes[1]]);
    let view = look(&same);
    assert_eq!((of(&view), view.judgement.questions.len()), (vec![Evidence::Same; 2], 0));

    let view = look(&confirmed([&rejudged(&codes[0]), &rejudged(&codes[1])]));
    assert_eq!((of(&view), view.judgement.questions.len()), (vec![Evidence::OtherOutcome; 2], 0));

    // Another reading of the place: the usual range is another now, and both are asked about again.
    let view = look(&with(&same, &[one(40, "2.2489")]));
    assert_eq!((of(&view), view.judgement.questions.len()), (vec![Evidence::Other; 2], 3));
    let again =
        view.judgement.questions.iter().filter(|question| question.was.contains("was confirmed by LM"));
    assert_eq!(again.count(), 2);

    // A slip is asked about for the same reason whatever stands beside it.
    let slip = one(20, "2.2884");
    let drops = with(&shop_with_engine(), std::slice::from_ref(&slip));
    let code = look(&drops).judgement.questions[0].code.to_string();
    let said = with(&drops, &[confirm(30, &slip, Some(&code))]);
    assert_eq!(of(&look(&said)), [Evidence::Same]);
    assert_eq!(of(&look(&with(&said, &[one(40, "2.2488")]))), [Evidence::OtherFacts]);
    // Without a code: what was recorded up to then.
    let codeless = with(&drops, &[confirm(30, &slip, None)]);
    assert_eq!(of(&look(&codeless)), [Evidence::Same]);
    assert_eq!(of(&look(&with(&codeless, &[one(25, "2.2488")]))), [Evidence::Same]);
    assert_eq!(of(&look(&with(&codeless, &[one(40, "2.2488")]))), [Evidence::OtherFacts]);
}

#[test]
fn an_accepted_value_rests_on_its_readings() {
    let mut drops = without_pins();
    drops.push(measured(23, "as received", "MIC", pins(&["1", "2", "3", "4"])));
    let doubtful = ["2.2479", "2.2479", "2.2480", "2.2480"];
    let third = measured(22, "as received", "MIC", journal("main journal", "3", doubtful));
    drops[7] = {
        let values = ["2.2488", "2.2487", "2.2488", "2.2487"];
        measured(
            21,
            "as received",
            "MIC",
            ["1", "2", "4", "5"].iter().flat_map(|p| journal("main journal", p, values)).collect(),
        )
    };
    drops.push(third.clone());
    let quoted = code(&look(&drops), "accept main journal 3");
    let accept = |code: &str| {
        drop_at(
            "decision",
            30,
            json!({"accept": {"feature": "main journal", "positions": ["3"],
            "characteristic": "size", "why": "half a tenth", "accepted-by": "Rowan Holt", "evidence": code}}),
        )
    };
    let what = "main journal 3 size accepted";
    let accepted = with(&drops, &[accept(&quoted)]);
    assert_eq!(evidence(&look(&accepted), what), Evidence::Same);
    assert!(look(&accepted).standing.blockers.iter().all(|b| b.rule != BlockerRule::Decided));
    assert_eq!(evidence(&look(&with(&drops, &[accept(&rejudged(&quoted))])), what), Evidence::OtherOutcome);
    // Read again, and proven beyond now.
    let mut again = measured(40, "as received", "MIC", journal("main journal", "3", ["2.2470"; 4]));
    again["body"]["corrects"] = json!({"drop": fact(&third).id.hex(), "why": "dirty anvil"});
    assert_eq!(evidence(&look(&with(&accepted, &[again])), what), Evidence::Other);
    // Read again, still not proven: it stands.
    let mut same = measured(40, "as received", "MIC", journal("main journal", "3", doubtful));
    same["body"]["corrects"] = json!({"drop": fact(&third).id.hex(), "why": "dirty anvil"});
    assert_eq!(evidence(&look(&with(&accepted, &[same])), what), Evidence::OtherFacts);
}

/// Name, drop, and the first gate it matters to: none for what no signature rests on.
type Told3 = (&'static str, Value, Option<Stage>);

fn whole_history() -> Vec<Told3> {
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
    let all: Vec<Value> = history.iter().map(|(_, drop, _)| drop.clone()).collect();
    let whole = facts_halves(&look(&all));
    for (name, left_out, matters) in &history {
        // Without sheet or check-in nothing can be signed at all.
        if ["sheet", "check-in"].contains(name) {
            continue;
        }
        let rest: Vec<Value> = all.iter().filter(|drop| *drop != left_out).cloned().collect();
        let without = facts_halves(&look(&rest));
        for (step, gate) in STEPS {
            // Without its grind, the second look at the crank is one more of the inspection.
            let moved = *name == "grind" && gate == Stage::Inspection;
            let expected = moved || matters.is_some_and(|first| first <= gate);
            assert_eq!(without[step] != whole[step], expected, "{name} left out, {step}");
        }
    }
}

/// Signing, waiving, and a revision of the sheet recorded after check-in change no code.
#[test]
fn signing_changes_no_code() {
    let drops = without_pins();
    let codes =
        |view: &JobView| to_sign(view).into_iter().map(|s| (s.what, s.code.to_string())).collect::<Vec<_>>();
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

/// A file proves no identity: who is named is told, once; a name nobody knows is told to the owner.
#[test]
fn each_statement_is_mailed_back_to_whoever_it_names() {
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "rowan@shop.example"},
        {"name": "Lee Marsh", "initials": "LM", "roles": ["bench"], "mail": "lee@shop.example"}]});
    let mut drops = inspected();
    drops.push(shop_drop("people", 0, people));
    let named = |name: &str| drop_at("sign-off", 31, json!({"step": "inspection", "name": name}));
    let mail = |drops: &[Value], told: &Told| {
        let (job, shop) = sets(drops);
        let now = "2026-03-02T12:00:00Z".parse().unwrap();
        let response = respond(&JobKey::of(JOB, SITE).unwrap(), job, told, &shop, [], now);
        let back = response.letters.into_iter().filter(|letter| letter.key.starts_with("recorded/"));
        (back.collect::<Vec<_>>(), response.told)
    };
    let signed = with(&drops, &[named("lm")]);
    let (letters, told) = mail(&signed, &Told::default());
    assert_eq!(letters.len(), 1);
    assert_eq!((letters[0].to.as_str(), letters[0].may_wait), ("lee@shop.example", true));
    assert_eq!(letters[0].subject, "24-017: recorded in your name: inspection signed");
    assert!(letters[0].text().contains("recorded 2026-03-02 08:31 by LM on tablet 1"));
    assert_eq!(mail(&signed, &told).0, []);
    // Not again when it is re-opened, and again for the next one.
    assert_eq!(mail(&with(&signed, &[worn(50, &drops[7])]), &told).0, []);
    let (letters, _) = mail(&with(&drops, &[named("A. Stranger")]), &Told::default());
    assert_eq!(letters.len(), 1);
    assert_eq!(letters[0].to, "rowan@shop.example");
    assert!(letters[0].subject.contains("in the name of A. Stranger"));
}
