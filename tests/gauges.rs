//! Gauges from the outside: what each state of a gauge does to the verdicts that rest on it, to the gates, to what was
//! signed, and on which lists it stands (trade notes F: "Gauge calibration", "Zero against a standard", F2 and F3).
//! Guards promises 3, 5, 6 and 9.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "gauges/gates.rs"]
mod gates;
#[path = "gauges/lists.rs"]
mod lists;
#[path = "gauges/states.rs"]
mod states;

mod support;

use benchdrop::facts::JobKey;
use benchdrop::pages::{JobView, job_json};
use serde_json::{Value, json};
use support::*;

/// Main journal 3 read at minute 20 of the second of March, inside service and proven with a good micrometer.
fn journal_3(gauge: &str) -> Value {
    measured(20, "as received", gauge, journal("main journal", "3", ["2.2488", "2.2487", "2.2488", "2.2487"]))
}

/// The shop with its engine, and main journal 3 read with the micrometer.
fn read() -> Vec<Value> {
    with(&shop_with_engine(), &[journal_3("MIC")])
}

/// Something that happened to a gauge, recorded then.
fn happened(mark: &str, recorded: &str, what: &str, value: Value) -> Value {
    let kind = if mark == "BORE" { "dial bore gauge" } else { "micrometer" };
    let set_by = (mark == "BORE").then_some("MIC");
    let mut drop = gauge(0, mark, kind, set_by);
    drop["recorded"] = recorded.into();
    drop["body"][what] = value;
    drop
}

fn calibrated(mark: &str, recorded: &str, due: &str, found: Option<&str>) -> Value {
    let mut body = json!({"due": due, "certificate": "C-118"});
    if let Some(found) = found {
        body["as-found"] = found.into();
    }
    happened(mark, recorded, "calibrated", body)
}

fn zeroed(mark: &str, recorded: &str, error: &str) -> Value {
    happened(mark, recorded, "zero", json!({"error": error, "unit": "in"}))
}

/// Found bad on the fifth of March, since then.
fn bad(mark: &str, since: &str) -> Value {
    let mut drop = happened(mark, "2026-03-05T10:00:00Z", "bad-since", since.into());
    drop["body"]["why"] = "dropped".into();
    drop
}

/// The standing verdict of a row, as programs see it.
fn verdict(view: &JobView, name: &str, characteristic: &str) -> Value {
    let all = job_json(view);
    let found = all["verdicts"].as_array().unwrap().iter().find(|verdict| {
        verdict["name"] == name
            && verdict["characteristic"] == characteristic
            && verdict["stands"] == true
            && verdict["value"] != Value::Null
    });
    found.unwrap_or_else(|| panic!("no verdict of {name} {characteristic}")).clone()
}

/// State and flags of the one gauge that the size of main journal 3 rests on, and how far it is proven.
fn state(view: &JobView) -> (String, Vec<String>, String) {
    let size = verdict(view, "main journal 3", "size");
    let gauges = size["gauges"].as_array().unwrap();
    assert_eq!(gauges.len(), 1, "{gauges:?}");
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let flags = gauges[0]["flags"].as_array().unwrap().iter().map(|flag| text(&flag["flag"])).collect();
    (text(&gauges[0]["state"]), flags, text(&size["judged-state"]))
}

/// The same, with the given things said of gauges.
fn state_with(more: &[Value]) -> (String, Vec<String>, String) {
    state(&look(&with(&read(), more)))
}
