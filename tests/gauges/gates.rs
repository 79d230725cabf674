//! What a bad gauge does to gates and to what was signed.

use super::*;
use benchdrop::facts::Evidence;
use benchdrop::pages::to_sign;
use benchdrop::stages::{Actor, Blocker, BlockerRule, Stage, WaiverState};

const SINCE: &str = "2026-03-02T08:00:00Z";

fn asked(view: &JobView) -> Vec<&Blocker> {
    view.standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::Gauged).collect()
}

fn code(view: &JobView, what: &str) -> String {
    let all = to_sign(view);
    let found = all.iter().find(|signable| signable.what.starts_with(what));
    found.unwrap_or_else(|| panic!("nothing like {what:?}: {all:#?}")).code.to_string()
}

#[test]
fn what_was_read_with_it_is_asked_for_again() {
    let drops = with(&read(), &[bad("MIC", SINCE)]);
    let found = look(&drops);
    let asked_now = asked(&found);
    assert_eq!(asked_now.len(), 1, "{asked_now:#?}");
    let (stage, actor, about) = (asked_now[0].stage, asked_now[0].actor, asked_now[0].about.as_str());
    assert_eq!((stage, actor, about), (Stage::Inspection, Actor::Bench, "main journal 3"));
    let what = format!(
        "read with MIC: found bad since 2026-03-02 08:00: dropped; measure again with a good gauge, as a correction of \
         drop {}",
        fact(&journal_3("MIC")).id.short()
    );
    assert_eq!(asked_now[0].what, what);
    // A repeat is one more reading; a correction by name replaces.
    let mut again = journal_3("BALL");
    again["recorded"] = "2026-03-06T09:00:00Z".into();
    assert_eq!(asked(&look(&with(&drops, std::slice::from_ref(&again)))).len(), 1);
    again["body"]["corrects"] = json!({"drop": fact(&journal_3("MIC")).id.hex(), "why": "gauge found bad"});
    assert!(asked(&look(&with(&drops, &[again]))).is_empty());
    // An overdue gauge is said and asks for nothing.
    let overdue = calibrated("MIC", "2025-03-01T10:00:00Z", "2026-03-01", None);
    assert!(asked(&look(&with(&read(), &[overdue]))).is_empty());
}

#[test]
fn it_can_be_waived_by_name() {
    let drops = with(&read(), &[bad("MIC", SINCE)]);
    let quoted = code(&look(&drops), "waive good gauge of main journal 3");
    let waiver = drop_at(
        "decision",
        6000,
        json!({"waiver": {"gate": "inspection", "rule": "good gauge",
        "about": "main journal 3", "why": "0.0007 inside service", "by": "Rowan Holt", "evidence": quoted}}),
    );
    let waived = look(&with(&drops, std::slice::from_ref(&waiver)));
    assert_eq!(waived.standing.waived[0].state, WaiverState::Holds);
    assert!(asked(&waived).is_empty());
    // Another trouble of the same gauge is another blocker.
    let worse = look(&with(&drops, &[waiver, zeroed("MIC", "2026-03-02T08:05:00Z", "0.002")]));
    assert_eq!(worse.standing.waived[0].state, WaiverState::Void);
    assert_eq!(asked(&worse).len(), 1);
}

/// Everything that inspection asks for, read with good gauges.
fn inspected() -> Vec<Value> {
    let bores = ["1", "2", "3", "4"].into_iter().flat_map(|p| {
        let places = ["top", "middle", "bottom"].iter().zip(["3.6112", "3.6111", "3.6110"]);
        places.flat_map(move |(station, value)| ["X", "Y"].map(|d| reading("bore", p, station, d, value)))
    });
    let mains = ["1", "2", "4", "5"]
        .iter()
        .flat_map(|p| journal("main journal", p, ["2.2488", "2.2487", "2.2488", "2.2487"]));
    let pins = ["1", "2", "3", "4"]
        .iter()
        .flat_map(|p| journal("crankpin", p, ["1.9987", "1.9986", "1.9986", "1.9985"]));
    with(
        &read(),
        &[
            measured(21, "as received", "BALL", bores.collect()),
            measured(22, "as received", "BALL", mains.collect()),
            measured(23, "as received", "BALL", pins.collect()),
        ],
    )
}

fn signature(view: &JobView) -> (Evidence, bool) {
    let now = view.standing.statements.iter().find(|now| now.what == "inspection signed").unwrap();
    let asked =
        view.standing.blockers.iter().any(|b| b.rule == BlockerRule::Signed && b.stage == Stage::Inspection);
    (now.checked.as_ref().unwrap().evidence, asked || view.standing.stage <= Stage::Inspection)
}

/// With a code, and without one, which holds against what had been said of the gauges by then. Signed on the fourth; the
/// gauge is found bad on the fifth, and found good on the ninth.
#[test]
fn a_signature_that_rested_on_it_is_open_again_until_it_is_found_good() {
    let drops = inspected();
    let quoted = code(&look(&drops), "sign inspection");
    for evidence in [Some(&quoted), None] {
        let mut body = json!({"step": "inspection", "name": "Rowan Holt"});
        if let Some(quoted) = evidence {
            body["evidence"] = quoted.as_str().into();
        }
        let mut sign = drop_at("sign-off", 30, body);
        sign["recorded"] = "2026-03-04T09:00:00Z".into();
        let signed = with(&drops, &[sign]);
        assert_eq!(signature(&look(&signed)), (Evidence::Same, false), "{evidence:?}");
        let found = with(&signed, &[bad("MIC", SINCE)]);
        assert_eq!(signature(&look(&found)), (Evidence::Other, true), "{evidence:?}");
        let good = calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", Some("good"));
        assert_eq!(signature(&look(&with(&found, &[good]))), (Evidence::Same, false), "{evidence:?}");
        // Bad only after the readings: nothing rests on it.
        let later = with(&signed, &[bad("MIC", "2026-03-03T08:00:00Z")]);
        assert_eq!(signature(&look(&later)), (Evidence::Same, false), "{evidence:?}");
        // It was overdue, and nobody had said so: the signer did not know.
        let mut overdue = calibrated("MIC", "2025-03-01T10:00:00Z", "2026-03-01", None);
        if evidence.is_none() {
            // Recorded before the signature it counts as known then.
            assert_eq!(signature(&look(&with(&signed, std::slice::from_ref(&overdue)))).0, Evidence::Same);
            overdue["recorded"] = "2026-03-04T10:00:00Z".into();
            continue;
        }
        assert_eq!(signature(&look(&with(&signed, &[overdue]))), (Evidence::Other, true));
    }
}

/// Signed after it was found bad and the readings were waived, it rests on that.
#[test]
fn an_accepted_value_opens_again_and_one_accepted_with_the_bad_gauge_stands() {
    // The wrong side of 2.2480 by a hair: beyond, not proven.
    let worn = measured(
        20,
        "as received",
        "MIC",
        journal("main journal", "3", ["2.2479", "2.2482", "2.2482", "2.2482"]),
    );
    let drops = with(&shop_with_engine(), &[worn]);
    let accept = |quoted: Option<&str>, recorded: &str| {
        let mut body = json!({"accept": {"feature": "main journal", "positions": ["3"], "why": "a hair",
            "accepted-by": "Rowan Holt"}});
        if let Some(quoted) = quoted {
            body["accept"]["evidence"] = quoted.into();
        }
        let mut drop = drop_at("decision", 30, body);
        drop["recorded"] = recorded.into();
        drop
    };
    let blocks = |view: &JobView| {
        let own = |b: &&Blocker| {
            matches!(b.rule, BlockerRule::Decided | BlockerRule::Gauged) && b.about == "main journal 3"
        };
        view.standing.blockers.iter().filter(own).count()
    };
    let quoted = code(&look(&drops), "accept main journal 3");
    for quoted in [Some(quoted.as_str()), None] {
        let accepted = with(&drops, &[accept(quoted, "2026-03-04T09:00:00Z")]);
        assert_eq!(blocks(&look(&accepted)), 0);
        let found = with(&accepted, &[bad("MIC", SINCE)]);
        assert_eq!(blocks(&look(&found)), 2, "decided, and read again");
        let good = calibrated("MIC", "2026-03-09T10:00:00Z", "2027-03-09", Some("good"));
        assert_eq!(blocks(&look(&with(&found, &[good]))), 0);
    }
    let found = with(&drops, &[bad("MIC", SINCE)]);
    let quoted = code(&look(&found), "accept main journal 3");
    for quoted in [Some(quoted.as_str()), None] {
        assert_eq!(blocks(&look(&with(&found, &[accept(quoted, "2026-03-06T09:00:00Z")]))), 0);
    }
}
