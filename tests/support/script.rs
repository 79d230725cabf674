//! The papers that the crash tests drop: one engine's life in rounds, with everything that may go wrong on the way.
//! Every name and number is invented.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use crate::support::{OV24, drop_at, gauge, house_rules, journal, measured, reading, shop_drop};
use benchdrop::facts::Digest;
use jiff::{Timestamp, ToSpan as _};
use serde_json::{Value, json};

/// A file as somebody drops it.
#[derive(Clone)]
pub struct Paper {
    pub name: String,
    pub bytes: Vec<u8>,
}

fn paper(name: &str, bytes: impl Into<Vec<u8>>) -> Paper {
    Paper { name: name.to_owned(), bytes: bytes.into() }
}

/// A drop as a device writes it, recorded so many minutes after the beginning.
fn written(begin: Timestamp, minute: i64, mut drop: Value) -> String {
    let recorded = begin.checked_add(minute.minutes()).unwrap();
    drop["recorded"] = recorded.strftime("%Y-%m-%dT%H:%M:%SZ").to_string().into();
    format!("{drop:#}\n")
}

fn people(revision: u32, bench: &str) -> Value {
    let person = |name: &str, initials: &str, roles: &[&str], mail: &str| json!({"name": name, "initials": initials, "roles": roles, "mail": mail});
    shop_drop(
        "people",
        0,
        json!({"revision": revision, "people": [
            person("Rowan Holt", "RH", &["owner"], "owner@shop.example"),
            person("Lin Marr", "LM", &["bench"], bench),
        ]}),
    )
}

fn check_in(job: &str) -> Value {
    let body = json!({"sheet": "OV-24", "customer": {"name": "Ferrowmere Mill"},
        "engine": {"serial": format!("OV24-{job}")}, "scope": ["block and crankshaft"]});
    of_job(job, drop_at("check-in", 0, body))
}

fn of_job(job: &str, mut drop: Value) -> Value {
    drop["job"] = job.into();
    drop
}

/// The seven readings of a bore.
fn bore(position: &str, top: &str) -> Vec<Value> {
    let rest = [
        ("top", "Y", "3.6128"),
        ("middle", "X", "3.6126"),
        ("middle", "Y", "3.6120"),
        ("bottom", "X", "3.6114"),
        ("bottom", "Y", "3.6112"),
        ("unworn", "X", "3.6110"),
    ];
    let mut readings = vec![reading("bore", position, "top", "X", top)];
    readings.extend(rest.iter().map(|(station, way, value)| reading("bore", position, station, way, value)));
    readings
}

/// The shop's own statements.
pub fn shop(begin: Timestamp) -> Vec<Paper> {
    let sheet = serde_json::from_str(OV24).unwrap();
    vec![
        paper("sheet.json", written(begin, 0, sheet)),
        paper("rules.json", written(begin, 1, house_rules(0))),
        paper("people.json", written(begin, 2, people(1, "bench@shop.example"))),
        paper("gauge mic.json", written(begin, 3, gauge(0, "MIC", "micrometer", None))),
        paper("gauge bore.json", written(begin, 4, gauge(0, "BORE", "dial bore gauge", Some("MIC")))),
    ]
}

/// One engine checked in and measured, with a bore and a journal beyond their limits.
pub fn engine(begin: Timestamp, job: &str) -> Vec<Paper> {
    let bores = ["1", "2", "3", "4"].iter().flat_map(|position| bore(position, "3.6155")).collect();
    let journals = journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]);
    let set = |minute, gauge, readings| {
        written(begin, minute, of_job(job, measured(0, "as received", gauge, readings)))
    };
    vec![
        paper(&format!("{job} check-in.json"), written(begin, 10, check_in(job))),
        paper(&format!("{job} bores.json"), set(20, "BORE", bores)),
        paper(&format!("{job} main 3.json"), set(21, "MIC", journals)),
    ]
}

/// Eight papers: the shop's own statements and the engine of the script.
pub fn shop_and_engine(begin: Timestamp) -> Vec<Paper> {
    let mut papers = shop(begin);
    papers.extend(engine(begin, JOB));
    papers
}

/// The job of the script.
const JOB: &str = "24-017";

fn about(begin: Timestamp, minute: i64, kind: &str, body: Value) -> String {
    written(begin, minute, of_job(JOB, drop_at(kind, 0, body)))
}

/// The whole life, some twenty papers in eight rounds: facts of the shop, an engine with readings beyond limits and
/// slips, papers that are broken, too large, copies or the same in other words, a correction, new people, work.
pub fn rounds(begin: Timestamp) -> Vec<Vec<Paper>> {
    let main =
        |position, values| measured(0, "as received", "MIC", journal("main journal", position, values));
    let swapped = written(begin, 30, of_job(JOB, main("4", ["2.4288", "2.4288", "2.4288", "2.4288"])));
    let sound = written(begin, 31, of_job(JOB, main("1", ["2.2488", "2.2487", "2.2488", "2.2487"])));
    let compact = serde_json::from_str::<Value>(&sound).unwrap().to_string();
    let mut correction = main("4", ["2.2488", "2.2487", "2.2487", "2.2487"]);
    correction["body"]["corrects"] =
        json!({"drop": Digest::of(swapped.as_bytes()).short(), "why": "digits swapped while typing"});
    let correction = written(begin, 40, of_job(JOB, correction));
    let broken = "{\"kind\": \"measurements\", \"job\": \"24-017\", \"body\": {\"readings\": [,]}}\n";
    let nobody = json!({"kind": "sign-off", "job": JOB, "body": {}}).to_string();
    let mut engine = engine(begin, JOB);
    let bores = engine.get(1).unwrap().bytes.clone();
    let mut late = engine.split_off(2);
    late.push(paper("swapped.json", swapped));
    late.push(paper("broken.json", broken));
    late.push(paper("picture.json", vec![b' '; 1024 * 1024 + 1]));
    vec![
        shop(begin),
        engine,
        late,
        vec![paper("bores (1).json", bores), paper("main 1.json", sound), paper("nobody.json", nobody)],
        vec![paper("main 1 again.json", compact), paper("main 4.json", correction)],
        vec![paper("people 2.json", written(begin, 50, people(2, "lin@shop.example")))],
        agreement(begin),
        machining(begin),
    ]
}

fn agreement(begin: Timestamp) -> Vec<Paper> {
    let work = |operation: &str, feature: &str, finished: &str| json!({"operation": operation, "feature": feature, "positions": ["all"], "finished": finished});
    let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        work("bore and hone", "bore", "0.030 over"), work("grind", "main journal", "0.010 under")]}});
    let signed = json!({"step": "inspection", "name": "Rowan Holt"});
    vec![
        paper("agreed.json", about(begin, 1_500, "decision", agreed)),
        paper("signed.json", about(begin, 1_510, "sign-off", signed)),
    ]
}

fn machining(begin: Timestamp) -> Vec<Paper> {
    let ground = json!({"operation": "grind", "unit": "in", "finished": "0.010 under", "with": "crank grinder",
        "places": [{"feature": "main journal", "positions": ["all"]}]});
    let readings = ["1", "3", "4"]
        .iter()
        .flat_map(|position| journal("main journal", position, ["2.2393", "2.2392", "2.2393", "2.2392"]));
    let after = measured(0, "after work", "MIC", readings.collect());
    vec![
        paper("ground.json", about(begin, 2_900, "operation", ground)),
        paper("after.json", written(begin, 3_000, of_job(JOB, after))),
    ]
}
