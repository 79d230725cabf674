//! The budget of a verdict comes to the uncertainty that judged it, whatever is judged: of an engine with every
//! characteristic there is, read by two people with two gauges at three temperatures, and of the demonstration and of histories.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use super::histories::{self, history, moves_of};
use super::plain::{engine, feature, pair, read, row, the_sheet};
use super::support::{folded, gauge};
use super::{by, study, warm};
use benchdrop::judgement::Judgement;
use benchdrop::sheets::Characteristic;
use benchdrop::shop::Job;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Characteristics of one number a place, and of what places of one position or of two differ by.
const OF_LENGTHS: [&str; 37] = [
    "size",
    "out-of-round",
    "taper",
    "end play",
    "side clearance",
    "end gap",
    "crush",
    "run-out",
    "flatness",
    "alignment",
    "bend",
    "squareness",
    "lift",
    "lash",
    "length",
    "width",
    "height",
    "thickness",
    "depth",
    "protrusion",
    "margin",
    "load",
    "volume",
    "deflection",
    "pressure",
    "weight",
    "spread",
    "backlash",
    "roughness",
    "radius",
    "twist",
    "wobble",
    "leakage",
    "cross-hatch",
    "unevenness",
    "spread percent",
    "lowest of highest",
];

fn with(mut feature: Value, more: Value) -> Value {
    feature.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    feature
}

fn limits(what: &str) -> &'static str {
    match what {
        "lowest of highest" => "1/",
        "advance" | "top dead centre" => "-90/90",
        "duration" | "centreline" | "rate" => "0.1/900",
        what if Characteristic::from_word(what).unwrap().is_limited_from_above() => "/90",
        _ => "0.1/90",
    }
}

fn one(key: &str, shape: &str, places: &str, what: &[&str]) -> Value {
    let rows = (1..).zip(what).map(|(number, what)| row(number, what, limits(what), "/", "/"));
    feature(key, shape, places, rows.collect())
}

/// A feature with what its places are read as.
type Thing = (Value, Vec<String>);

fn thing(feature: Value, lines: &[&str]) -> Thing {
    (feature, lines.iter().map(|line| (*line).to_owned()).collect())
}

/// A feature for each.
fn all() -> Vec<Thing> {
    let of_length = |what: &&str| {
        let key = format!("thing {what}");
        let lines = ["1", "2"].map(|p| format!("{key} {p}: 0.5001 0.5003 0.5002 0.5004"));
        (one(&key, "either", "1,2; a,b; X,Y", &[what]), lines.to_vec())
    };
    OF_LENGTHS.iter().map(of_length).chain(shapes()).chain(events()).chain(sets()).collect()
}

fn shapes() -> [Thing; 6] {
    let points = json!(["0", "2", "4", "6"].map(|along| json!({"along": along})));
    let mut flat = one("deck", "either", "1; a,b,c,d; line", &["flatness", "flatness per length"]);
    flat["rows"][1]["any"] = "4".into();
    let vee = json!({"vee": {"angle": "90", "lobes": 3}, "lobed": true});
    let heel = json!({"heel": ["90", "180", "270"]});
    let turn = one("turn", "shrinks", "1; 0,90,180,270; dial", &["base-circle run-out", "lift"]);
    let guide = one("guide", "bore", "1; top,middle,bottom; along,across", &["bell-mouth"]);
    let housing = one("housing", "bore", "1; front; vertical,60 left,60 right", &["out-of-round"]);
    let ring = one("ring", "either", "1; front; 0,90,180,270", &["roundness"]);
    let nut = one("nut", "shaft", "1; a,b; dial", &["out-of-round"]);
    [
        thing(with(flat, json!({"points": points})), &["deck 1: 0.5000 0.5002 0.5001 0.5000"]),
        thing(
            with(ring, json!({"angles": ["0", "90", "180", "270"]})),
            &["ring 1: 0.5000 0.5002 0.5001 0.5004"],
        ),
        thing(housing, &["housing 1: 0.5003 0.5001 0.5000"]),
        thing(with(nut, vee), &["nut 1: 0.0010 0.0012"]),
        thing(with(turn, heel), &["turn 1: 0.3000 0.0001 0.0002 0.0004"]),
        thing(guide, &["guide 1: 0.3442 0.3443 0.3441 0.3440 0.3444 0.3440"]),
    ]
}

/// By degree wheel and spring tester.
fn events() -> [Thing; 5] {
    let mut lobe = one("lobe", "either", "1; wheel; one,other", &["duration", "centreline", "advance"]);
    lobe["rows"][2]["nominal"] = "108".into();
    let timing = json!({"unit": "deg", "timing": {"valve": "intake", "read": "opening and closing"}});
    let stop = one("stop", "either", "1; wheel; after,before", &["top dead centre"]);
    let spot = one("spot", "either", "1,2,3; a; wheel", &[]);
    let load = |key: &str, height: &str, what: &[&str]| {
        let load = one(key, "shrinks", "1; height; tester", what);
        with(load, json!({"unit": "lbf", "at-height": height}))
    };
    let open = with(load("open load", "1.238", &["rate"]), json!({"rate-with": "closed load"}));
    [
        thing(with(lobe, timing), &["lobe 1: 5 37"]),
        thing(with(stop, json!({"unit": "deg"})), &["stop 1: 21.5 -20.5"]),
        thing(load("closed load", "1.650", &[]), &["closed load 1: 86"]),
        thing(open, &["open load 1: 200"]),
        thing(with(spot, json!({"unit": "deg"})), &["spot 1: 10", "spot 2: 100", "spot 3: 100"]),
    ]
}

/// Of several positions, and what goes together.
fn sets() -> [Thing; 6] {
    let rocker = one("rocker", "either", "1,2; a; valve,lobe", &["ratio", "spread percent", "spread"]);
    let liner = one("liner", "either", "1,2; a,b; depth", &["step to the next"]);
    let swing = one("swing", "grows", "1,2,3; a; dial", &["run-out of neighbours"]);
    let size = |key, shape, new| feature(key, shape, "1; a,b; X,Y", vec![row(1, "size", new, "/", "/")]);
    let (bush, mut pin) = (size("bush", "bore", "0.502/0.503"), size("pin", "shaft", "0.500/0.501"));
    // Against its new limit.
    pin["rows"].as_array_mut().unwrap().push(row(2, "wear", "/0.002", "/", "/"));
    let strip = one("strip", "grows", "1; crown; strip", &["clearance by strip"]);
    let next = json!({"next": [{"here": "a", "there": "b"}]});
    [
        thing(rocker, &["rocker 1: 0.4620 0.3000", "rocker 2: 0.4680 0.3000"]),
        thing(with(liner, next), &["liner 1: 0.0040 0.0042", "liner 2: 0.0041 0.0042"]),
        thing(
            with(swing, json!({"clock": "spot"})),
            &["swing 1: 0.0010", "swing 2: 0.0004", "swing 3: 0.0004"],
        ),
        thing(with(strip, json!({"strip-of": "play"})), &["strip 1: 0.5000"]),
        thing(bush, &["bush 1: 0.5021 0.5023 0.5022 0.5024"]),
        thing(pin, &["pin 1: 0.5001 0.5003 0.5002 0.5004"]),
    ]
}

/// What is read by wheel and by tester has one gauge; of lengths LM reads the first places, at a temperature and with a
/// gauge that `turn` chooses, and AK the rest.
fn engine_with_everything(turn: usize) -> Vec<Value> {
    let all = all();
    let members = ["bush", "", "pin"];
    let pairs = [("play", "clearance", "0.001/0.003"), ("press", "interference", "-0.003/-0.001")];
    let pairs = pairs.map(|(key, what, new)| pair(key, what, members, [new, "/"], false)).to_vec();
    let mut drops = engine("in", all.iter().map(|(feature, _)| feature.clone()).collect(), pairs);
    let figure = json!({"instrument": "micrometer", "unit": "in", "expanded": "0.00025", "setting": "0.000075", "transfer": "0.00005"});
    drops[0]["body"]["instruments"].as_array_mut().unwrap().push(figure);
    drops.extend([gauge(2, "MIC", "micrometer", None), gauge(3, "MIC2", "micrometer", Some("MIC"))]);
    drops.extend([study(5, "LM", "MIC", 0), by(study(6, "AK", "MIC", 2), "AK")]);
    let sheet = the_sheet(&drops);
    let second = if turn.is_multiple_of(2) { "MIC" } else { "MIC2" };
    let temperatures = [("", ""), ("31", "24"), ("29", "")];
    for (minute, (feature, lines)) in (20..).step_by(4).zip(&all) {
        let unit = feature["unit"].as_str().unwrap_or("in");
        let read = |minute: u32, gauge: &str, lines: &[String]| {
            let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
            read(&sheet, minute, "as received", unit, gauge, &lines)
        };
        match unit {
            "deg" => drops.push(read(minute, "WHEEL", lines)),
            "lbf" => drops.push(read(minute, "TESTER", lines)),
            _ if feature["feature"] == "thing end gap" => {
                drops.push(warm(read(minute, "FEELER", lines), "31", "24"));
            }
            _ => {
                let (first, rest): (Vec<String>, Vec<String>) = lines.iter().map(|line| halves(line)).unzip();
                let (cold, hot) = (temperatures[turn % 3], temperatures[turn / 3 % 3]);
                drops.push(warm(read(minute, "MIC", &first), cold.0, cold.1));
                let rest: Vec<String> = rest.into_iter().filter(|line| !line.is_empty()).collect();
                if !rest.is_empty() {
                    drops.push(by(warm(read(minute + 1, second, &rest), hot.0, hot.1), "AK"));
                }
            }
        }
    }
    drops
}

/// The first half of the places of a line, and the second; a line of one place stays as it is.
fn halves(line: &str) -> (String, String) {
    let (surface, values) = line.split_once(": ").unwrap();
    let values: Vec<&str> = values.split(' ').collect();
    let half = values.len().div_ceil(2);
    let skipped = vec!["-"; half].join(" ");
    let rest = values[half..].join(" ");
    let rest = if rest.is_empty() { rest } else { format!("{surface}: {skipped} {rest}") };
    (format!("{surface}: {}", values[..half].join(" ")), rest)
}

/// Every verdict with an uncertainty has a budget that comes to it; which characteristics had one.
fn compared(job: &Job, judgement: &Judgement) -> BTreeSet<Characteristic> {
    let mut found = BTreeSet::new();
    for verdict in &judgement.verdicts {
        let Some(judged) = verdict.judged.as_ref() else { continue };
        let budget = judged.budget(Some(job));
        let Some(u) = judged.u else {
            assert!(budget.is_none(), "{}", verdict.title());
            continue;
        };
        let budget = budget.unwrap();
        let off = (budget.u - u).abs();
        assert!(off <= u * 1e-9, "{}: {} against {u}\n{budget:#?}", verdict.title(), budget.u);
        found.insert(verdict.key.characteristic);
    }
    found
}

#[test]
fn of_every_characteristic_the_budget_comes_to_what_judged_it() {
    // What was taken off comes from statements, not from readings: nobody knows how unsure they are.
    let all: BTreeSet<_> =
        Characteristic::ALL.into_iter().filter(|what| *what != Characteristic::Removed).collect();
    for turn in 0..18 {
        let (_, job, judgement) = folded(&engine_with_everything(turn));
        assert!(job.held.is_empty(), "{:#?}", job.held);
        let found = compared(&job, &judgement);
        let lacks: Vec<&str> = all.difference(&found).map(|what| what.word()).collect();
        assert!(lacks.is_empty(), "{turn}: {lacks:?} {:#?}", judgement.questions);
    }
}

#[test]
fn of_the_demonstration_and_of_histories_too() {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("demo");
    let made = Command::new(env!("CARGO_BIN_EXE_benchdrop")).arg("demo").arg(&shop).output().unwrap();
    assert!(made.status.success());
    let (_, job, judgement) = folded(&papers_in(&shop.join("watch-folder/filed")));
    let found = compared(&job, &judgement);
    assert!(found.len() > 5, "{found:?}");
    let mut seen = 0;
    for seed in 0..60 {
        let papers = history(&moves_of(seed), &histories::PLAIN);
        let papers: Vec<Value> = papers.into_iter().map(|paper| paper.value).collect();
        let (_, job, judgement) = folded(&papers);
        seen += usize::from(!compared(&job, &judgement).is_empty());
    }
    assert!(seen > 20, "{seen}");
}

/// What was filed, but for tables.
fn papers_in(folder: &Path) -> Vec<Value> {
    let mut papers = Vec::new();
    for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        if entry.is_dir() {
            papers.extend(papers_in(&entry));
        } else if let Ok(paper) = serde_json::from_slice(&fs::read(&entry).unwrap()) {
            papers.push(paper);
        }
    }
    papers
}
