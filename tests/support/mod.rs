//! Drops of the invented scenario, made short. Every number here is invented for demonstration.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use benchdrop::facts::{Fact, JobKey, decode};
use benchdrop::judgement::{Judgement, Verdict, judge};
use benchdrop::pages::JobView;
use benchdrop::respond::view;
use benchdrop::sheets::Characteristic;
use benchdrop::shop::{FactSet, Job, Shop};
use serde_json::{Value, json};
use std::sync::Arc;

pub const SITE: &str = "main";
pub const JOB: &str = "24-017";
pub const OV24: &str = include_str!("../../schemas/examples/sheet.v1/pass/ov-24.json");

/// A drop of the job, recorded at `minute` minutes past 2026-03-02 08:00 UTC.
pub fn drop_at(kind: &str, minute: u32, body: Value) -> Value {
    shop_drop(kind, minute, body)
        .as_object()
        .map(|head| {
            let mut head = head.clone();
            head.insert("job".into(), JOB.into());
            Value::Object(head)
        })
        .unwrap()
}

/// The same for the shop.
pub fn shop_drop(kind: &str, minute: u32, body: Value) -> Value {
    let recorded =
        format!("2026-03-{:02}T{:02}:{:02}:00Z", 2 + minute / 1440, 8 + (minute / 60) % 12, minute % 60);
    json!({"kind": kind, "version": 1, "who": "LM", "recorded": recorded, "device": "tablet 1", "body": body})
}

pub fn check_in(minute: u32) -> Value {
    drop_at(
        "check-in",
        minute,
        json!({"sheet": "OV-24", "customer": {"name": "Ferrowmere Mill"},
        "engine": {"serial": "OV24-00317"}, "scope": ["block and crankshaft"]}),
    )
}

pub fn house_rules(minute: u32) -> Value {
    let figure = |instrument: &str, expanded: &str, setting: &str, transfer: &str| json!({"instrument": instrument, "unit": "in", "expanded": expanded, "setting": setting, "transfer": transfer});
    shop_drop(
        "house-rules",
        minute,
        json!({"revision": 1, "probability": "0.95", "instruments": [
        figure("micrometer", "0.00025", "0.000075", "0"),
        figure("dial bore gauge", "0.00035", "0.000075", "0.000122474"),
        figure("ball micrometer", "0.00015", "0.000055", "0"),
    ], "stock": [{"shape": "bore", "unit": "in", "stock": "0.003"}, {"shape": "shaft", "unit": "in", "stock": "0.001"}]}),
    )
}

pub fn gauge(minute: u32, mark: &str, instrument: &str, set_by: Option<&str>) -> Value {
    let mut body = json!({"gauge": mark, "instrument": instrument});
    if let Some(set_by) = set_by {
        body["set-by"] = set_by.into();
    }
    shop_drop("gauge", minute, body)
}

pub fn gauges() -> Vec<Value> {
    vec![
        gauge(1, "MIC", "micrometer", None),
        gauge(2, "BORE", "dial bore gauge", Some("MIC")),
        gauge(3, "BALL", "ball micrometer", None),
    ]
}

/// One reading: feature, position, station, direction, value.
pub fn reading(feature: &str, position: &str, station: &str, direction: &str, value: &str) -> Value {
    json!({"feature": feature, "position": position, "station": station, "direction": direction, "value": value})
}

/// Four readings of a journal: front X, front Y, rear X, rear Y.
pub fn journal(feature: &str, position: &str, values: [&str; 4]) -> Vec<Value> {
    let places = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];
    places.iter().zip(values).map(|((s, d), value)| reading(feature, position, s, d, value)).collect()
}

pub fn measured(minute: u32, condition: &str, gauge: &str, readings: Vec<Value>) -> Value {
    drop_at(
        "measurements",
        minute,
        json!({"condition": condition, "gauge": gauge, "unit": "in", "readings": readings}),
    )
}

/// The word that every reading of a drop on a feature is right, however it looks.
pub fn confirmed(minute: u32, drop: &Value, feature: &str) -> Value {
    let word = json!({"drop": fact(drop).id.hex(), "feature": feature, "why": "read twice"});
    drop_at("decision", minute, json!({"confirm-reading": word}))
}

/// The invented engine comes as a short block, with these wishes.
pub fn short_block_in(minute: u32, wishes: &Value) -> Value {
    let mut checked_in = check_in(minute);
    checked_in["body"]["scope"] = json!(["short block"]);
    checked_in["body"]["wishes"] = wishes.clone();
    checked_in
}

/// A page as a person reads it: tags out, spaces folded.
pub fn text_of(html: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(c),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub fn fact(drop: &Value) -> Arc<Fact> {
    let bytes = serde_json::to_vec(drop).unwrap();
    Arc::new(decode(&bytes, SITE).unwrap_or_else(|refusal| panic!("{refusal:?}\n{drop:#}")))
}

/// What was dropped, the engine's apart from the shop's.
pub fn sets(drops: &[Value]) -> (FactSet, Shop) {
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

/// Everything that follows from drops.
pub fn look(drops: &[Value]) -> JobView {
    let (job, shop) = sets(drops);
    view(&JobKey::of(JOB, SITE).unwrap(), &job, &shop)
}

/// Drops and more of them.
pub fn with(drops: &[Value], more: &[Value]) -> Vec<Value> {
    [drops, more].concat()
}

/// Folds shop and job from drops in any order, as the ledger would.
pub fn folded(drops: &[Value]) -> (Shop, Job, Judgement) {
    let (set, shop) = sets(drops);
    let job = Job::fold(&JobKey::of(JOB, SITE).unwrap(), &set, &shop);
    let judgement = judge(&job);
    (shop, job, judgement)
}

/// The shop of the scenario with a checked-in engine.
pub fn shop_with_engine() -> Vec<Value> {
    let mut drops: Vec<Value> = gauges();
    drops.push(serde_json::from_str(OV24).unwrap());
    drops.push(house_rules(0));
    drops.push(check_in(10));
    drops
}

pub fn standing<'a>(judgement: &'a Judgement, name: &str, characteristic: Characteristic) -> &'a Verdict {
    judgement
        .standing()
        .find(|v| v.name == name && v.key.characteristic == characteristic)
        .unwrap_or_else(|| panic!("no standing verdict for {name} {}", characteristic.word()))
}
