//! `check FILE...`: what files would do. What it says comes true, and saying it records nothing.

use super::made_shop::MadeShop;
use super::support::*;
use benchdrop::clock::{Clock as _, SystemClock};
use serde_json::{Value, json};
use std::fs;

struct Files<'a> {
    shop: &'a MadeShop,
    paths: Vec<String>,
}

impl<'a> Files<'a> {
    fn of(shop: &'a MadeShop) -> Self {
        Self { shop, paths: Vec::new() }
    }

    fn with(mut self, name: &str, text: &str) -> Self {
        let path = self.shop.path(name);
        fs::write(&path, text).unwrap();
        self.paths.push(path.to_str().unwrap().to_owned());
        self
    }

    fn check(&self, more: &[&str], code: i32) -> String {
        let files: Vec<&str> = self.paths.iter().map(String::as_str).collect();
        self.shop.run(&[&["check"][..], &files, more].concat()).ended(code).out
    }

    fn json(&self, code: i32) -> Value {
        serde_json::from_str(&self.check(&["--json"], code)).unwrap()
    }
}

fn now() -> String {
    jiff::Timestamp::from_second(SystemClock::new().now().as_second()).unwrap().to_string()
}

/// A reading beyond its limit, as a table.
fn worn(value: &str) -> String {
    let rows: String = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")]
        .map(|(station, direction)| format!("main journal;2;{station};{direction};{value}\n"))
        .concat();
    format!(
        "kind;measurements\njob;24-017\nwho;LM\nrecorded;{}\nunit;in\ncondition;as received\ngauge;MIC-23\n\
         feature;position;station;direction;value\n{rows}end\n",
        now()
    )
}

fn lines<'a>(engine: &'a Value, what: &str, which: &str) -> Vec<&'a str> {
    engine[what][which].as_array().unwrap().iter().map(|line| line.as_str().unwrap()).collect()
}

#[test]
fn what_is_foreseen_comes_true() {
    let shop = MadeShop::with_engine();
    let before = fs::read(shop.path("shop/ledger/benchdrop.db")).unwrap();
    let table = worn("2,2470");
    let files = Files::of(&shop).with("worn.csv", &table);
    let foreseen = files.json(0);
    assert_eq!(foreseen["papers"][0]["fate"], "filed");
    let engine = &foreseen["engines"][0];
    let size = lines(engine, "verdicts", "comes");
    let size = size.iter().find(|line| line.starts_with("main journal 2, size")).unwrap();
    assert!(size.contains("2.2470 in") && size.contains("beyond, proven"), "{size}");
    let letters = engine["letters"].as_array().unwrap();
    assert!(letters.iter().any(|letter| letter["to"] == "Rowan Holt"), "{letters:?}");
    let text = files.check(&[], 0);
    for part in
        ["would be filed", "Verdicts, new or changed", "Letters", "to Rowan Holt", "Nothing was recorded."]
    {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert_eq!(fs::read(shop.path("shop/ledger/benchdrop.db")).unwrap(), before, "nothing is recorded");
    let was: Vec<String> = blockers(&shop.job_json());

    shop.put_text("worn.tab", &table);
    shop.run(&["once"]).ended(0);
    let job = shop.job_json();
    let verdict = job["verdicts"]
        .as_array()
        .unwrap()
        .iter()
        .find(|v| v["name"] == "main journal 2" && v["characteristic"] == "size")
        .unwrap();
    assert_eq!(verdict["state"], "beyond, proven");
    let is: Vec<String> = blockers(&job);
    let comes: Vec<&String> = is.iter().filter(|line| !was.contains(line)).collect();
    let goes: Vec<&String> = was.iter().filter(|line| !is.contains(line)).collect();
    assert_eq!(lines(engine, "blockers", "comes"), comes);
    assert_eq!(lines(engine, "blockers", "goes"), goes);
    assert!(!comes.is_empty() && !goes.is_empty());
    // Said again it is a copy and does nothing.
    let again = files.json(0);
    assert_eq!((&again["papers"][0]["fate"], &again["engines"]), (&json!("copy"), &json!([])));
}

fn blockers(job: &Value) -> Vec<String> {
    let text = |blocker: &Value, key: &str| blocker[key].as_str().unwrap().to_owned();
    job["blockers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|b| {
            let about =
                if text(b, "about").is_empty() { String::new() } else { format!("{}: ", text(b, "about")) };
            format!("{}, {}: {about}{}", text(b, "gate"), text(b, "actor"), text(b, "what"))
        })
        .collect()
}

#[test]
fn codes_say_what_would_become_of_the_files() {
    let shop = MadeShop::with_engine();
    let good = worn("2,2490");
    let bad = good.replace("2,2490", "OK");
    let cut = &good[..good.len() - 30];
    let stray = good.replace("main journal;2", "main journal;9");
    let other = good.replace("job;24-017", "job;99-001");
    let fate = |files: &Files<'_>, code: i32| files.json(code)["papers"][0].clone();
    let returned = fate(&Files::of(&shop).with("bad.csv", &bad), 10);
    assert_eq!(returned["fate"], "returned");
    assert!(returned["slip"].as_str().unwrap().contains("row 9, column E (value)"), "{returned}");
    assert_eq!(fate(&Files::of(&shop).with("cut.csv", cut), 11)["fate"], "unfinished");
    let held = fate(&Files::of(&shop).with("stray.csv", &stray), 11);
    assert!(held["fate"] == "held" && held["held"][0].as_str().unwrap().contains('9'), "{held}");
    let held = fate(&Files::of(&shop).with("other.csv", &other), 11);
    assert!(held["held"][0].as_str().unwrap().contains("check"), "{held}");
    let both = Files::of(&shop).with("bad.csv", &bad).with("stray.csv", &stray);
    assert_eq!(both.json(12)["papers"].as_array().unwrap().len(), 2);
    assert!(shop.run(&["check", "not-here.csv"]).ended(1).err.contains("not-here.csv"));
    shop.run(&["check"]).ended(2);
}

/// A check-in and its readings in one go: neither alone says what both say.
#[test]
fn several_files_are_seen_together() {
    let shop = MadeShop::with_engine();
    let mut arrives = check_in(10);
    (arrives["job"], arrives["recorded"]) = (json!("99-001"), json!(now()));
    let readings = worn("2,2470").replace("job;24-017", "job;99-001");
    let both = Files::of(&shop).with("r.csv", &readings).with("c.json", &arrives.to_string());
    let foreseen = both.json(0);
    assert_eq!(foreseen["engines"][0]["stage-before"], "");
    assert!(!lines(&foreseen["engines"][0], "verdicts", "comes").is_empty());
    // House rules touch engines that no file names; these have no figure for any gauge.
    let mut rules = house_rules(0);
    rules["recorded"] = json!("2020-01-01T00:00:00Z");
    rules["body"]["instruments"] = json!([]);
    let foreseen = Files::of(&shop).with("rules.json", &rules.to_string()).json(0);
    let engine = &foreseen["engines"][0];
    assert_eq!(engine["job"], JOB);
    assert!(
        lines(engine, "verdicts", "comes").iter().any(|line| line.contains("not proven, no gauge")),
        "{engine:#}"
    );
}
