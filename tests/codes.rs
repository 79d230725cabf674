//! Evidence codes: what a signature, a waiver, an approval and a confirmation rest on, and what becomes of each when
//! facts or outcome change. Guards promises 3 (order does not matter) and 9 (people decide).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "codes/added.rs"]
mod added;
#[path = "codes/agreed.rs"]
mod agreed;
#[path = "codes/values.rs"]
mod values;
#[path = "codes/whole.rs"]
mod whole;

mod support;

use benchdrop::facts::{Checked, Evidence, JobKey};
use benchdrop::pages::{JobView, to_sign};
use benchdrop::stages::{BlockerRule, Stage, StatementNow, WaiverState};
use serde_json::{Value, json};
use support::*;

const PINS: &str = "crankpin 1, 2, 3, 4";

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

/// A failed crack test is the owner's to set aside, and nobody else's.
#[test]
fn only_an_owner_sets_a_failed_test_aside() {
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"]},
        {"name": "Lee Marsh", "initials": "LM", "roles": ["bench"]}]});
    let mut drops = shop_with_engine();
    drops.retain(|drop| drop["kind"] != "check-in");
    let mut check_in = check_in(10);
    check_in["body"]["scope"] = json!(["complete"]);
    let failed = json!({"findings": [{"part": "crankshaft", "defect": "crack", "severity": 5,
        "test": {"kind": "magnetic particle", "result": "failed"}}]});
    drops.extend([check_in, shop_drop("people", 0, people), drop_at("finding", 20, failed)]);
    let open = look(&drops);
    let tested =
        open.standing.blockers.iter().find(|b| b.rule == BlockerRule::Tested && b.what.contains("failed"));
    let about = tested.unwrap_or_else(|| panic!("{:#?}", open.standing.blockers)).about.clone();
    let waive = |by: &str| {
        drop_at(
            "decision",
            30,
            json!({"waiver": {"gate": "inspection", "rule": "tested", "about": about,
            "why": "it goes to a museum", "by": by}}),
        )
    };
    let state = |by: &str| look(&with(&drops, &[waive(by)])).standing.waived[0].state;
    assert_eq!(state("RH"), WaiverState::Holds);
    assert_eq!(state("Rowan Holt"), WaiverState::Holds);
    assert_eq!(state("LM"), WaiverState::Refused);
    assert_eq!(state("A. Stranger"), WaiverState::Refused);
}
