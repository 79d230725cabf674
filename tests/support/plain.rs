//! A small sheet made row by row, and readings of it in a line of text.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use super::support::{drop_at, folded, gauge, reading, shop_drop};
use benchdrop::judgement::{Judgement, Verdict};
use benchdrop::sheets::Characteristic;
use benchdrop::shop::Job;
use serde_json::{Value, json};

/// A row with its limit columns as `min/max`, either left out, asked as received, after work and at assembly.
pub fn row(number: u32, characteristic: &str, new: &str, service: &str, after_work: &str) -> Value {
    let mut row = json!({"row": number, "characteristic": characteristic, "asked": [
        {"condition": "as received"}, {"condition": "after work"}]});
    for (column, text) in [("new", new), ("service", service), ("after-work", after_work)] {
        let (min, max) = text.split_once('/').unwrap();
        for (side, digits) in [("min", min), ("max", max)] {
            if !digits.is_empty() {
                row[column][side] = digits.into();
            }
        }
    }
    row
}

/// A feature of the one part there is; places as `positions; stations; directions`, each a comma list.
pub fn feature(key: &str, shape: &str, places: &str, rows: Vec<Value>) -> Value {
    let mut lists = places.split("; ").map(|list| list.split(',').collect::<Vec<_>>());
    let (positions, stations, directions) =
        (lists.next().unwrap(), lists.next().unwrap(), lists.next().unwrap());
    json!({"feature": key, "name": key, "part": "engine", "shape": shape, "positions": positions,
        "stations": stations, "directions": directions, "rows": rows})
}

pub fn sheet(unit: &str, features: Vec<Value>, pairs: Vec<Value>) -> Value {
    let part = |key: &str, renewed: bool| json!({"part": key, "material": "iron", "renewed": renewed});
    shop_drop(
        "sheet",
        0,
        json!({"sheet": "PL-1", "revision": 1, "name": "invented", "unit": unit,
        "scopes": [{"scope": "complete", "name": "Complete engine"}],
        "materials": [{"material": "iron", "expansion": "10.8", "uncertainty": "1"}],
        "parts": [part("engine", false), part("shells", true)], "features": features, "pairs": pairs}),
    )
}

/// The shop with this sheet and an engine checked in.
pub fn engine(unit: &str, features: Vec<Value>, pairs: Vec<Value>) -> Vec<Value> {
    let rules = json!({"revision": 1, "probability": "0.95", "instruments": [
        {"instrument": "feeler", "unit": "in", "expanded": "0.001", "setting": "0", "transfer": "0", "interval": true},
        {"instrument": "dial", "unit": unit, "expanded": "0.001", "setting": "0", "transfer": "0"},
        {"instrument": "bore gauge", "unit": "in", "expanded": "0.0002", "setting": "0", "transfer": "0"},
        {"instrument": "tester", "unit": "lbf", "expanded": "2", "setting": "0", "transfer": "0"},
        {"instrument": "pressure gauge", "unit": "psi", "expanded": "4", "setting": "0", "transfer": "0"},
        {"instrument": "degree wheel", "unit": "deg", "expanded": "1", "setting": "0.4", "transfer": "0"}]});
    let check_in = json!({"sheet": "PL-1", "customer": {"name": "Ferrowmere Mill"}, "engine": {"serial": "1"},
        "scope": ["complete"]});
    vec![
        shop_drop("house-rules", 0, rules),
        gauge(1, "FEELER", "feeler", None),
        gauge(1, "DIAL", "dial", None),
        gauge(1, "BORE", "bore gauge", None),
        gauge(1, "TESTER", "tester", None),
        gauge(1, "PRESSURE", "pressure gauge", None),
        gauge(1, "WHEEL", "degree wheel", None),
        sheet(unit, features, pairs),
        drop_at("check-in", 10, check_in),
    ]
}

/// Readings as `feature position: value value ...`, places in the sheet's order.
pub fn read(sheet: &Value, minute: u32, condition: &str, unit: &str, gauge: &str, lines: &[&str]) -> Value {
    let mut readings = Vec::new();
    for line in lines {
        let (surface, values) = line.split_once(": ").unwrap();
        let (key, position) = surface.rsplit_once(' ').unwrap();
        let features = sheet["body"]["features"].as_array().unwrap();
        let feature = features.iter().find(|f| f["feature"] == key).unwrap();
        let names = |list: &str| feature[list].as_array().unwrap().clone();
        let mut values = values.split(' ');
        for station in names("stations") {
            for direction in names("directions") {
                let (s, d) = (station.as_str().unwrap(), direction.as_str().unwrap());
                if let Some(value) = values.next().filter(|value| *value != "-") {
                    readings.push(reading(key, position, s, d, value));
                }
            }
        }
    }
    let mut body = json!({"condition": condition, "unit": unit, "readings": readings});
    if !gauge.is_empty() {
        body["gauge"] = gauge.into();
    }
    drop_at("measurements", minute, body)
}

pub fn the_sheet(drops: &[Value]) -> Value {
    drops.iter().find(|drop| drop["kind"] == "sheet").unwrap().clone()
}

/// The engine with one set of readings as received.
pub fn as_received(mut drops: Vec<Value>, unit: &str, gauge: &str, lines: &[&str]) -> (Job, Judgement) {
    let set = read(&the_sheet(&drops), 20, "as received", unit, gauge, lines);
    drops.push(set);
    let (_, job, judgement) = folded(&drops);
    (job, judgement)
}

pub fn work(minute: u32, feature: &str, removed: &str) -> Value {
    let mut body =
        json!({"operation": "skim", "places": [{"feature": feature, "positions": ["all"]}], "unit": "in"});
    if !removed.is_empty() {
        body["removed"] = removed.into();
    }
    drop_at("operation", minute, body)
}

/// Value in the verdict's unit, band, and the side in the trade's words.
pub fn outcome(verdict: &Verdict, job: &Job) -> (String, &'static str, &'static str) {
    let judged = verdict.judged.as_ref().unwrap();
    let shape = job.feature(verdict.key.surface).map(|feature| feature.shape);
    (judged.value.show(verdict.unit), judged.band.word(), verdict.side_words(shape))
}

pub fn word(text: &str) -> Characteristic {
    Characteristic::from_word(text).unwrap()
}

pub fn pair(key: &str, characteristic: &str, members: [&str; 3], limits: [&str; 2], by_grade: bool) -> Value {
    let [outer, walls, inner] = members;
    let mut pair = json!({"pair": key, "name": key, "outer": {"feature": outer}, "inner": {"feature": inner},
        "by-grade": by_grade, "row": row(100, characteristic, limits[0], limits[1], "/")});
    if !walls.is_empty() {
        pair["walls"] = json!({"feature": walls});
    }
    pair
}

pub fn size(key: &str, shape: &str, stations: &str, new: &str, service: &str) -> Value {
    feature(key, shape, &format!("1; {stations}; read"), vec![row(1, "size", new, service, "/")])
}

/// A valve spring whose load is read installed, judged in this unit.
pub fn spring_load(unit: &str) -> Value {
    let rows = vec![row(52, "load", "82/90", "74/", "/")];
    let mut spring = feature("spring load", "shrinks", "1; installed; read", rows);
    spring["unit"] = unit.into();
    spring
}
