//! Wrenches are gauges: what is tightened with one that proves nothing is asked for again. What was read at the end is
//! held against the sheet, and a wrong lubricant says what it does to the clamp.

use super::{OV24, engine, sheet};
use crate::support::{drop_at, shop_drop};
use benchdrop::facts::Step;
use benchdrop::pages::{build_record, job_json, job_page};
use benchdrop::stages::{Blocker, Quote, Stage, signables};
use serde_json::{Value, json};

const RULES: [&str; 2] = ["good wrench", "final torque"];

fn wrench(minute: u32, more: &Value) -> Value {
    let mut body = json!({"gauge": "TW-1", "instrument": "torque wrench",
        "range": {"from": "20", "to": "150", "unit": "lbf ft"}});
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    shop_drop("gauge", minute, body)
}

fn torque(group: &str, more: &Value) -> Value {
    let lubricant = if ["G08", "G17"].contains(&group) { "dry" } else { "oil" };
    let mut one = json!({"group": group, "lubricant": lubricant, "bolts": "used", "wrench": "TW-1"});
    one.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    // Nobody wrote down which.
    if one["wrench"] == "" {
        one.as_object_mut().unwrap().remove("wrench");
    }
    drop_at("assembly", 100, json!({"torque": [one]}))
}

/// What these rules say, of a complete engine with these drops.
fn open(drops: &[Value]) -> Vec<Blocker> {
    let view = engine(&sheet(OV24), drops);
    view.standing.blockers.into_iter().filter(|b| RULES.contains(&b.rule.word())).collect()
}

fn one(drops: &[Value], about: &str, words: &[&str]) {
    let open = open(drops);
    assert_eq!(open.len(), 1, "{open:?}");
    assert_eq!((open[0].stage, open[0].about.as_str()), (Stage::Reassembly, about));
    for words in words {
        assert!(open[0].what.contains(words), "{words:?} is missing from {}", open[0].what);
    }
}

#[test]
fn a_good_wrench_is_asked_nothing() {
    let calibrated = json!({"calibrated": {"due": "2027-01-10", "certificate": "C-131"}});
    let good = wrench(5, &calibrated);
    assert_eq!(open(&[good.clone(), torque("G01", &json!({}))]), []);
    assert_eq!(open(&[torque("G01", &json!({"wrench": "TW-1"})), good.clone()]), [], "described later");
    let page = build_record(&engine(&sheet(OV24), &[good, torque("G01", &json!({}))]));
    assert!(page.contains("wrench TW-1 (in calibration, certificate C-131, due 2027-01-10)"));
}

#[test]
fn a_wrench_that_proves_nothing_is_asked_about() {
    let described = wrench(5, &json!({}));
    let main_caps = torque("G01", &json!({}));
    one(std::slice::from_ref(&main_caps), "TW-1", &["G01 tightened with it", "its range"]);
    let overdue = wrench(5, &json!({"calibrated": {"due": "2026-03-01"}}));
    one(
        &[overdue, main_caps.clone()],
        "G01 Main caps",
        &["calibration was due 2026-03-01", "again with a good one"],
    );
    let micrometer = shop_drop("gauge", 5, json!({"gauge": "TW-1", "instrument": "micrometer"}));
    one(&[micrometer, main_caps.clone()], "G01 Main caps", &["TW-1 is a micrometer", "its range"]);
    // Found out weeks later, it reaches back.
    let bad = wrench(20_000, &json!({"bad-since": "2026-03-01T08:00:00Z", "why": "dropped"}));
    let drops = [described.clone(), main_caps.clone(), bad.clone()];
    one(&drops, "G01 Main caps", &["found bad since", "dropped"]);
    let view = engine(&sheet(OV24), &drops);
    for page in [job_page(&view), build_record(&view), job_json(&view).to_string()] {
        assert!(page.contains("found bad since"), "on every page of the joint");
    }
    // The range is held against the torque that counts: 15 lbf ft of the pump, not the first stage of the mains.
    one(
        &[described.clone(), torque("G08", &json!({}))],
        "G08 Oil pump body",
        &["below its range of 20 to 150 lbf ft"],
    );
    assert_eq!(open(&[described.clone(), torque("G05", &json!({"wrench": ""}))]).len(), 0, "no wrench named");
    let metric = wrench(5, &json!({"range": {"from": "5", "to": "108", "unit": "N m"}}));
    one(&[metric, main_caps], "G01 Main caps", &["above its range of 5 to 108 N m"]);
    // 80 lbf ft is 108.465 N m.
    let metric = wrench(5, &json!({"range": {"from": "5", "to": "108.5", "unit": "N m"}}));
    assert_eq!(open(&[metric, torque("G01", &json!({}))]), []);
    let head = torque("G03", &json!({"bolts": "new", "lubricant": "oil threads and under head"}));
    one(&[described, head, bad], "G03 Cylinder head", &["new bolts through all stages"]);
}

/// What was signed rests on the wrench as it was known then.
#[test]
fn a_wrench_found_bad_changes_what_was_signed() {
    let drops = vec![wrench(5, &json!({})), torque("G01", &json!({}))];
    let code = |drops: &[Value]| {
        let view = engine(&sheet(OV24), drops);
        let all = signables(&view.job, &view.judgement, &view.standing);
        let step = all.into_iter().find(|one| one.quote == Quote::SignOff(Step::Reassembly));
        step.unwrap().code.to_string()
    };
    let overdue = wrench(30, &json!({"calibrated": {"due": "2026-03-01"}}));
    let zero = shop_drop("gauge", 31, json!({"gauge": "MIC", "instrument": "micrometer"}));
    let before = code(&drops);
    assert_ne!(before, code(&[drops.clone(), vec![overdue]].concat()));
    assert_eq!(before, code(&[drops, vec![zero]].concat()), "another gauge is nothing to it");
}

/// The sheet says 80 lbf ft for the mains: four percent are 3.2.
#[test]
fn what_was_read_at_the_end_is_held_against_the_sheet() {
    let good = || wrench(5, &json!({"range": {"from": "2", "to": "200", "unit": "lbf ft"}}));
    let with = |group: &str, read: &str| vec![good(), torque(group, &json!({"final": read}))];
    for right in ["80 lbf ft", "80", "83.2 lbf ft", "76.8", "108 N m", "960 lbf in"] {
        assert_eq!(open(&with("G01", right)), [], "{right}");
    }
    for wrong in ["83.3 lbf ft", "76.7", "80 N m", "112.9 Nm"] {
        one(&with("G01", wrong), "G01 Main caps", &[wrong, "the sheet says 80 lbf ft"]);
    }
    one(&with("G01", "tight"), "G01 Main caps", &["with its unit"]);
    // 72 lbf in is the 6 lbf ft of the side cover; 72 lbf ft is nothing for a quarter inch thread (3 to 12 in trade notes D).
    assert_eq!(open(&with("G17", "72 lbf in")), []);
    one(&with("G17", "72"), "G17 Pushrod side cover", &["3 to 12 lbf ft", "unit"]);
    // A joint by angle is never checked with a wrench.
    let head = json!({"final": "55 lbf ft", "bolts": "new", "lubricant": "oil threads and under head"});
    assert_eq!(open(&[good(), torque("G03", &head)]), []);
}

/// A bolt that was pulled too far is as long as it is, whatever is read later (trade notes D: compare its length, look for
/// necking, replace what is in doubt; what was tightened past yield is new).
#[test]
fn a_joint_that_went_too_far_is_let_go_and_its_bolts_looked_at() {
    let good = || wrench(5, &json!({"range": {"from": "2", "to": "200", "unit": "lbf ft"}}));
    let at = |minute: u32, group: &str, more: &Value| {
        let mut drop = torque(group, more);
        drop["recorded"] = drop_at("assembly", minute, json!({}))["recorded"].clone();
        drop
    };
    let caps =
        |later: &[Value]| open(&[&[good(), at(100, "G01", &json!({"final": "95 lbf ft"}))], later].concat());
    let right = |more: &Value| {
        let mut one = json!({"final": "80 lbf ft"});
        one.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        at(120, "G01", &one)
    };
    let off = drop_at("part", 110, json!({"part": "main cap", "positions": ["all"], "event": "off"}));
    let said = json!({"slackened": "all ten as long as a new one, threads run by hand"});
    for stands in [
        vec![],
        vec![right(&json!({}))],
        vec![right(&json!({"bolts": "new"}))],
        vec![off.clone(), right(&json!({}))],
    ] {
        let left = caps(&stands);
        assert_eq!(left.len(), 1, "{left:?}");
        for words in ["final 95 lbf ft", "too far", "look at its bolts", "slackened"] {
            assert!(left[0].what.contains(words), "{words:?} is missing from {}", left[0].what);
        }
    }
    for cleared in [vec![right(&said)], vec![off, right(&json!({"bolts": "new"}))]] {
        assert_eq!(caps(&cleared), []);
    }
    // Too far again.
    let mut again = said.clone();
    again["final"] = "90".into();
    assert_eq!(caps(&[right(&said), at(130, "G01", &again)]).len(), 1);
    // One cap of five: the others are not asked about.
    let front = |minute, more: &Value| {
        let mut one = json!({"places": ["1 cam", "1 plug"]});
        one.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        at(minute, "G01", &one)
    };
    let drops = [good(), at(90, "G01", &json!({})), front(100, &json!({"final": "95"})), front(120, &said)];
    assert_eq!(open(&drops), []);
    assert_eq!(open(&drops[..3]).len(), 1);
    // By angle: 90 degrees, once, with bolts that are never used again.
    let head = |minute, more: &Value| {
        let mut one = json!({"bolts": "new", "lubricant": "oil threads and under head"});
        one.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        at(minute, "G03", &one)
    };
    for right in ["90 deg", "88 degrees", "95 deg"] {
        assert_eq!(open(&[good(), head(100, &json!({"final": right}))]), [], "{right}");
    }
    one(&[good(), head(100, &json!({"final": "60 deg"}))], "G03 Cylinder head", &["90 deg", "new bolts"]);
    let far = head(100, &json!({"final": "130 deg"}));
    one(
        &[good(), far.clone(), head(120, &json!({"final": "90 deg"}))],
        "G03 Cylinder head",
        &["130 deg", "too far", "new bolts"],
    );
    let anew = json!({"final": "90 deg", "slackened": "the first set is out"});
    assert_eq!(open(&[good(), far.clone(), head(120, &anew)]), []);
    let used = json!({"final": "90 deg", "slackened": "they look good", "bolts": "used"});
    assert_eq!(open(&[good(), far, head(120, &used)]).len(), 1);
}

/// A lower stage ends at its own torque, and a single-use joint without an angle is held against its torque like others.
#[test]
fn a_reading_is_held_against_the_stage_it_ends() {
    let good = || wrench(5, &json!({"range": {"from": "2", "to": "200", "unit": "lbf ft"}}));
    let stage = |stages: &Value, read: &str| torque("G01", &json!({"stages": stages, "final": read}));
    assert_eq!(
        open(&[good(), stage(&json!([1]), "30"), stage(&json!([2]), "55"), stage(&json!([3]), "80")]),
        []
    );
    one(&[good(), stage(&json!([1]), "80")], "G01 Main caps", &["the sheet says 30 lbf ft", "too far"]);
    let mut single = sheet(OV24);
    let groups = single["body"]["fasteners"].as_array_mut().unwrap();
    groups.iter_mut().find(|group| group["group"] == "G07").unwrap()["single-use"] = true.into();
    let says = |read: &str| {
        let damper = torque("G07", &json!({"bolts": "new", "final": read}));
        let blockers = engine(&single, &[good(), damper]).standing.blockers;
        blockers.into_iter().filter(|blocker| blocker.rule.word() == "final torque").count()
    };
    assert_eq!((says("110"), says("80"), says("140")), (0, 1, 1));
}

/// Trade notes D: 0.20/0.12 is 67 percent more, and a value for oil used dry leaves 25 percent less.
#[test]
fn a_wrong_lubricant_says_what_it_does_to_the_clamp() {
    let says = |group: &str, lubricant: &str| {
        let drops = [wrench(5, &json!({})), torque(group, &json!({"lubricant": lubricant, "wrench": ""}))];
        let view = engine(&sheet(OV24), &drops);
        let open = view.standing.blockers.into_iter().find(|b| b.rule.word() == "lubricant");
        open.map_or_else(String::new, |blocker| blocker.what)
    };
    assert!(says("G08", "moly grease").contains("about 67 percent more"), "{}", says("G08", "moly grease"));
    assert!(says("G01", "dry").contains("about 25 percent less"), "{}", says("G01", "dry"));
    assert_eq!(says("G01", "engine oil"), "");
}

/// Nothing gets under a tight head: what is written later of the same bolts oils none of them.
#[test]
fn another_lubricant_is_on_it_once_it_was_let_go() {
    let with = |later: &Value| {
        let mut again = torque("G08", later);
        again["recorded"] = drop_at("assembly", 120, json!({}))["recorded"].clone();
        let drops = [wrench(5, &json!({})), torque("G08", &json!({"lubricant": "moly grease"})), again];
        let blockers = engine(&sheet(OV24), &drops).standing.blockers;
        blockers.into_iter().filter(|blocker| blocker.rule.word() == "lubricant").count()
    };
    assert_eq!(with(&json!({"lubricant": "dry"})), 1);
    assert_eq!(with(&json!({"lubricant": "dry", "slackened": "washed out, length as new"})), 0);
}
