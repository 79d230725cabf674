//! Checks that are numbers, plays that are gone once the engine is apart, and work that was interrupted.

use super::{OV24, engine, sheet};
use crate::support::drop_at;
use benchdrop::pages::{JobView, job_page, job_text};
use benchdrop::stages::Stage;
use serde_json::{Value, json};

fn asked(view: &JobView, rule: &str, about: &str) -> String {
    let found = view.standing.blockers.iter().find(|b| b.rule.word() == rule && b.about == about);
    found.map_or_else(String::new, |blocker| blocker.what.clone())
}

/// The sheet asks for at least 10 psi before the start.
#[test]
fn oil_pressure_before_the_start_is_a_number() {
    let primed = |value: &str| {
        let mut check = json!({"check": "pump primed", "result": "yes"});
        if !value.is_empty() {
            check["value"] = value.into();
        }
        asked(
            &engine(&sheet(OV24), &[drop_at("assembly", 30, json!({"checks": [check]}))]),
            "checked",
            "pump primed",
        )
    };
    for right in ["10", "10 psi", "42.5 psi", "12,5", "70 kPa"] {
        assert_eq!(primed(right), "", "{right}");
    }
    for (wrong, words) in [("", "at least 10 psi"), ("9.9 psi", "9.9 psi by LM"), ("good", "at least 10 psi")]
    {
        assert!(primed(wrong).contains(words), "{wrong}: {}", primed(wrong));
    }
}

#[test]
fn plays_are_measured_before_anything_comes_off() {
    let ov24 = sheet(OV24);
    let rule = "measured before stripping";
    let view = engine(&ov24, &[]);
    assert_eq!(view.standing.stage, Stage::CheckedIn);
    let early: Vec<&str> =
        view.standing.waits().filter(|b| b.rule.word() == rule).map(|b| b.about.as_str()).collect();
    assert_eq!(early, ["crankshaft end play", "cam end play"]);
    assert!(asked(&view, rule, "cam end play").starts_with("measure it before anything comes off"));
    assert_eq!(asked(&view, "measured", "cam end play"), "", "asked once");
    let off = drop_at("part", 30, json!({"part": "head gasket", "event": "off", "where": "bin"}));
    assert!(
        asked(&engine(&ov24, &[off]), rule, "cam end play").contains("not measured before it came apart")
    );
    let feature =
        ov24["body"]["features"].as_array().unwrap().iter().find(|f| f["feature"] == "cam end play").unwrap();
    let reading = json!({"feature": "cam end play", "position": feature["positions"][0], "station": feature["stations"][0],
        "direction": feature["directions"][0], "value": "0.0040"});
    let read = json!({"condition": "as received", "unit": "in", "readings": [reading]});
    let view = engine(&ov24, &[drop_at("measurements", 20, read)]);
    assert_eq!(asked(&view, rule, "cam end play"), "");
    assert!(!asked(&view, rule, "crankshaft end play").is_empty());
}

/// Interrupted at the fourth bolt of the second stage: whoever comes next reads where it goes on.
#[test]
fn interrupted_work_goes_on_where_it_stopped() {
    let done = |minute: u32, more: Value| {
        let mut torque = json!({"group": "G03", "lubricant": "oil threads and under head", "bolts": "new"});
        torque.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        drop_at("assembly", minute, json!({"torque": [torque]}))
    };
    let first = done(30, json!({"stages": [1]}));
    let second = done(40, json!({"stages": [2], "places": ["C3", "P3", "P4"]}));
    let view = engine(&sheet(OV24), &[first, second]);
    // C3 P3 P4 are done: C4 is next in the sheet's order.
    let next = "next: stage 2 at C4, then C2, P2, P1, C1, C5, P5";
    assert!(job_page(&view).contains(next));
    assert!(job_text(&view, false).contains(next));
    let rest = done(50, json!({"stages": [2], "places": ["C4", "C2", "P2", "P1", "C1", "C5", "P5"]}));
    let first = done(30, json!({"stages": [1]}));
    let second = done(40, json!({"stages": [2], "places": ["C3", "P3", "P4"]}));
    let view = engine(&sheet(OV24), &[rest, first, second]);
    assert!(job_page(&view).contains("next: stage 3 at C3, then P3, P4"));
}
