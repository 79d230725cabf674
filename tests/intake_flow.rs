//! The way of a paper through the house, each case from the drop folder to ledger, pages and letters.
//!
//! Guards promises 1 (nothing dropped is lost), 2 (counted once) and 10 (what was said stays said), and that held
//! papers and shop-wide facts come into force whenever they arrive.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use benchdrop::facts::{Digest, decode};
use serde_json::{Value, json};
use std::fs;
use std::io::Write as _;
use std::time::Duration;
use support::*;
use temp_shop::{SETTLE, TempShop};

/// Main journal 3 is 0.0009 in below its service limit.
const WORN: [&str; 4] = ["2.2479", "2.2471", "2.2480", "2.2472"];
const SOUND: [&str; 4] = ["2.2492", "2.2491", "2.2492", "2.2491"];

fn people() -> Value {
    let person = |name: &str, initials: &str, role: &str| json!({"name": name, "initials": initials, "roles": [role], "mail": format!("{role}@shop.example")});
    shop_drop(
        "people",
        0,
        json!({"revision": 1, "people": [person("Rowan Holt", "RH", "owner"), person("Lin Marr", "LM", "bench")]}),
    )
}

/// The shop with its engine checked in, and people who get letters.
fn shop() -> TempShop {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    drops.push(people());
    shop.take(&drops);
    assert!(shop.alerts().is_empty(), "nothing to tell yet");
    shop
}

fn main_3(minute: u32, values: [&str; 4]) -> Value {
    measured(minute, "as received", "MIC", journal("main journal", "3", values))
}

fn withdrawal(minute: u32, drop: &str) -> Value {
    drop_at("withdrawal", minute, json!({"drop": drop, "why": "another engine"}))
}

/// The standing size verdict of main journal 3.
fn size_of_main_3(shop: &TempShop) -> Value {
    let job = shop.job(JOB);
    let found = job["verdicts"]
        .as_array()
        .unwrap()
        .iter()
        .find(|v| v["name"] == "main journal 3" && v["characteristic"] == "size" && v["stands"] == true);
    found.unwrap().clone()
}

fn subjects(shop: &TempShop) -> Vec<String> {
    shop.alerts().iter().map(|mail| mail.subject.clone()).collect()
}

#[test]
fn the_same_bytes_under_another_name_are_a_copy() {
    let mut shop = shop();
    let drop = main_3(20, WORN).to_string();
    shop.put("mains.json", &drop);
    shop.settle();
    let (dump, letters) = (shop.dump(JOB), subjects(&shop));
    assert_eq!(letters.len(), 1, "{letters:?}");
    assert!(letters[0].starts_with("24-017: main journal 3 too small"), "{letters:?}");
    shop.put("mains (1).json", &drop);
    shop.settle();
    shop.clock.advance(Duration::from_secs(40 * 86_400));
    shop.put("again.json", &drop);
    shop.settle();
    assert_eq!(shop.outcome("mains.json"), "filed");
    assert_eq!([shop.outcome("mains (1).json"), shop.outcome("again.json")], ["copy", "copy"]);
    assert_eq!(shop.dump(JOB), dump);
    let after = subjects(&shop);
    assert_eq!(after.len(), 2, "no further alert, but the one reminder: {after:?}");
    assert!(after[1].starts_with("24-017: still waiting: main journal 3 too small"), "{after:?}");
    assert_eq!(shop.left().len(), 0);
    assert_eq!(shop.papers("filed").values().filter(|bytes| **bytes == drop.as_bytes()).count(), 3);
}

#[test]
fn the_same_words_in_other_spacing_are_one_statement() {
    let tight = main_3(20, WORN).to_string();
    let wide = format!("{:#}\r\n", main_3(20, WORN));
    let content = decode(tight.as_bytes(), SITE).unwrap().id;
    let names = [Digest::of(tight.as_bytes()), Digest::of(wide.as_bytes()), content];
    for name in names.iter().flat_map(|digest| [digest.short(), digest.hex()]) {
        let mut shop = shop();
        shop.put("tight.json", &tight);
        shop.settle();
        let (dump, letters) = (shop.dump(JOB), subjects(&shop));
        shop.put("wide.json", &wide);
        shop.settle();
        assert_eq!([shop.outcome("tight.json"), shop.outcome("wide.json")], ["filed", "copy"]);
        assert_eq!((shop.dump(JOB), subjects(&shop)), (dump, letters));
        for bytes in [&tight, &wide] {
            let kept = shop.ledger().bytes_of(&Digest::of(bytes.as_bytes())).unwrap();
            assert_eq!(kept.as_deref(), Some(bytes.as_bytes()));
        }
        shop.take(&[withdrawal(30, &name)]);
        assert_eq!(size_of_main_3(&shop)["state"], "incomplete", "withdrawn as {name}");
    }
}

#[test]
fn the_same_words_twice_in_one_batch_are_one_statement() {
    let mut shop = shop();
    shop.put("1-tight.json", main_3(20, WORN).to_string());
    shop.put("2-wide.json", format!("{:#}", main_3(20, WORN)));
    shop.settle();
    assert_eq!([shop.outcome("1-tight.json"), shop.outcome("2-wide.json")], ["filed", "copy"]);
    assert_eq!(shop.job(JOB)["facts"], 2, "the check-in and one set");
    assert_eq!(size_of_main_3(&shop)["readings"].as_array().unwrap().len(), 4);
}

#[test]
fn a_half_written_paper_waits_and_is_taken_when_it_is_whole() {
    let mut shop = shop();
    let whole = main_3(20, WORN).to_string();
    let (first, rest) = whole.split_at(whole.len() / 2);
    shop.put("half.json", first);
    shop.put("empty.json", "");
    shop.put("broken.json", "{\"kind\": [,]}");
    let report = shop.once();
    assert_eq!((report.filed, report.returned), (0, 1), "broken is returned: {report:?}");
    let waiting: Vec<&str> = report.waiting.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(waiting, ["empty.json", "half.json"]);
    assert!(report.waiting[1].1.contains("stops in the middle"), "{report:?}");
    assert!(shop.arrival("broken.json").slip.contains("line 1, column 11"));

    let mut file = fs::OpenOptions::new().append(true).open(shop.drop_folder().join("half.json")).unwrap();
    file.write_all(rest.as_bytes()).unwrap();
    drop(file);
    let report = shop.once();
    assert_eq!((report.filed, report.returned, report.waiting.len()), (1, 0, 1), "{report:?}");
    assert_eq!(size_of_main_3(&shop)["value"], "2.2471");
}

/// A table lies ten seconds before it counts as whole. A round that ends before that would never take one in.
#[test]
fn one_round_waits_for_a_table_as_long_as_tables_take() {
    let mut shop = shop();
    let gauge = "last-row;end\nkind;gauge\nwho;RH\nrecorded;2026-03-02T08:00:00Z\ngauge;MIC-9\n\
                 instrument;micrometer 0-1 in\nend\n";
    shop.put("gauge.csv", gauge);
    shop.put("main 3.json", main_3(20, WORN).to_string());
    let report = shop.once();
    assert_eq!((report.filed, report.returned, report.waiting.len()), (2, 0, 0), "{report:?}");
}

#[test]
fn a_daemon_waits_for_the_rest_and_returns_what_never_comes() {
    let mut shop = shop();
    shop.put("half.json", "{\"kind\": \"measure");
    shop.settle();
    assert_eq!(shop.left().len(), 1);
    assert!(shop.page("arrivals.html").contains("stops in the middle"));
    shop.turn_after(Duration::from_secs(120));
    assert_eq!((shop.left().len(), shop.outcome("half.json")), (0, "returned"));
    let returned = shop.papers("returned");
    assert_eq!(returned.values().map(Vec::as_slice).collect::<Vec<_>>(), [b"{\"kind\": \"measure"]);
}

#[test]
fn a_conflict_copy_is_data_and_is_flagged() {
    let mut shop = shop();
    let name = "mains.sync-conflict-20260310-101500-ABCDEFG.json";
    shop.put(name, main_3(20, SOUND).to_string());
    shop.settle();
    assert_eq!(shop.outcome(name), "filed");
    assert!(shop.arrival(name).remark.contains("conflict copy"));
    assert!(shop.page("arrivals.html").contains("conflict copy"));
}

#[test]
fn a_clock_that_runs_ahead_is_flagged_or_refused() {
    let mut shop = shop();
    let recorded = |time: &str| {
        let mut drop = main_3(20, SOUND);
        drop["recorded"] = time.into();
        drop.to_string()
    };
    // A quarter past noon by the shop's clock, give or take the seconds that the turns took.
    shop.put("day-ahead.json", recorded("2026-03-11T13:05:00Z"));
    shop.put("hour-ahead.json", recorded("2026-03-10T13:00:00Z"));
    shop.put("minutes-ahead.json", recorded("2026-03-10T12:26:00Z"));
    shop.put("seconds-ahead.json", recorded("2026-03-10T12:17:00Z"));
    shop.put("other-zone.json", recorded("2026-03-10T14:00:00+02:00"));
    shop.settle();
    assert_eq!(shop.outcome("day-ahead.json"), "returned");
    assert!(shop.arrival("day-ahead.json").slip.contains("24 hours ahead"));
    for (name, flagged) in [
        ("hour-ahead.json", true),
        ("minutes-ahead.json", true),
        ("seconds-ahead.json", false),
        ("other-zone.json", false),
    ] {
        let arrival = shop.arrival(name);
        assert_eq!(arrival.outcome.word(), "filed", "{name}");
        assert_eq!(arrival.remark.contains("ahead of our clock"), flagged, "{name}: {}", arrival.remark);
    }
}

#[test]
fn what_comes_before_its_check_in_is_held_and_then_judged() {
    let mut shop = TempShop::new();
    let mut drops = vec![people(), main_3(20, WORN)];
    drops.extend(gauges());
    drops.push(house_rules(0));
    shop.take(&drops);
    assert!(shop.page("arrivals.html").contains("not checked in"));
    assert!(subjects(&shop).is_empty());
    shop.take(&[check_in(10)]);
    assert!(
        shop.job(JOB)["held"].to_string().contains("the sheet OV-24 is not here"),
        "held for another reason"
    );
    // The sheet marks the job stale; folding it again judges the readings and tells people.
    shop.take(&[serde_json::from_str(OV24).unwrap()]);
    let verdict = size_of_main_3(&shop);
    assert_eq!((&verdict["state"], &verdict["value"]), (&"beyond, proven".into(), &"2.2471".into()));
    assert_eq!(subjects(&shop).len(), 1);
    assert_eq!(shop.job(JOB)["held"], json!([]));

    // Any order gives the same state (promise 3).
    let mut other = self::shop();
    other.take(&[main_3(20, WORN)]);
    assert_eq!(other.dump(JOB), shop.dump(JOB));
}

#[test]
fn a_gauge_that_is_described_later_proves_the_verdict() {
    let mut shop = TempShop::new();
    let unknown_kind = gauge(1, "MIC", "borrowed thing", None);
    shop.take(&[
        serde_json::from_str(OV24).unwrap(),
        people(),
        house_rules(0),
        check_in(10),
        main_3(20, WORN),
    ]);
    assert!(shop.job(JOB)["held"].to_string().contains("no gauge MIC is known"));
    shop.take(&[unknown_kind]);
    let before = size_of_main_3(&shop);
    assert_eq!(
        (&before["state"], &before["probability"]),
        (&"beyond, not proven, no gauge".into(), &Value::Null)
    );
    assert_eq!(subjects(&shop).len(), 1);
    shop.take(&[gauge(2, "MIC", "micrometer", None)]);
    let after = size_of_main_3(&shop);
    assert_eq!(after["state"], "beyond, proven");
    assert!(after["probability"].as_str().unwrap().parse::<f64>().unwrap() < 0.05, "{after}");
    let letters = shop.alerts();
    assert_eq!(
        letters.len(),
        3,
        "not proven is the bench's, to measure again; proven is the owner's, to decide"
    );
    let to = |letter: usize| letters[letter].header("To").to_owned();
    assert!(to(0).contains("bench@") && to(1).contains("bench@") && to(2).contains("owner@"));
    assert!(letters[1].subject.contains("changed main journal 3"), "{}", letters[1].subject);
    assert!(letters[2].subject.contains("24-017: main journal 3 too small"), "{}", letters[2].subject);
    for last in &letters[1..] {
        assert!(
            last.text.contains("beyond, proven") && last.html.contains("beyond, proven"),
            "{}",
            last.text
        );
    }
}

#[test]
fn a_withdrawn_reading_clears_its_alert() {
    let mut shop = shop();
    let drop = main_3(20, WORN);
    shop.take(std::slice::from_ref(&drop));
    let digest = Digest::of(drop.to_string().as_bytes());
    shop.take(&[withdrawal(30, &digest.short())]);
    let letters = shop.alerts();
    assert_eq!(letters.len(), 2);
    assert!(letters[1].subject.contains("cleared: main journal 3"), "{}", letters[1].subject);
    for alarm in ["main journal 3, size", "main journal 3, out-of-round"] {
        assert!(letters[1].text.contains(alarm), "{alarm}: {}", letters[1].text);
    }
    // Dropping the withdrawn bytes again changes nothing (promise 2).
    let dump = shop.dump(JOB);
    shop.put("once-more.json", drop.to_string());
    shop.settle();
    assert_eq!((shop.outcome("once-more.json"), shop.dump(JOB), shop.alerts().len()), ("copy", dump, 2));
}

#[test]
fn a_correction_inside_the_limits_says_so() {
    let mut shop = shop();
    let wrong = main_3(20, WORN);
    shop.take(std::slice::from_ref(&wrong));
    let mut right = main_3(40, SOUND);
    right["body"]["corrects"] =
        json!({"drop": Digest::of(wrong.to_string().as_bytes()).short(), "why": "anvil was not clean"});
    shop.take(&[right]);
    let letters = shop.alerts();
    assert_eq!(letters.len(), 2);
    assert!(letters[1].text.contains("corrected: now 2.2491 in"), "{}", letters[1].text);
    assert!(letters[1].text.contains("inside"), "{}", letters[1].text);
    assert_eq!(size_of_main_3(&shop)["corrected"], true);
}

#[test]
fn people_who_come_late_are_told_what_stands() {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    drops.push(main_3(20, WORN));
    shop.take(&drops);
    assert!(shop.page("board.html").contains("Nobody has a mail address"));
    assert!(subjects(&shop).is_empty());
    shop.take(&[people()]);
    let subjects = subjects(&shop);
    assert_eq!(subjects.len(), 1);
    assert!(subjects[0].contains("main journal 3 too small"), "{subjects:?}");
    assert!(!shop.page("board.html").contains("Nobody has a mail address"));
}

#[test]
fn filed_and_returned_hold_the_papers_and_the_ledger_their_bytes() {
    let mut shop = shop();
    let good = main_3(20, SOUND).to_string();
    let papers = [
        ("good.json", good.clone(), "filed"),
        ("copy.json", good, "filed"),
        ("not-json.txt", "hello".to_owned(), "returned"),
        ("faults.json", "{\"kind\": \"measurements\", \"version\": 7}".to_owned(), "returned"),
        ("faults-again.json", "{\"kind\": \"measurements\", \"version\": 7}".to_owned(), "returned"),
    ];
    let filed_before = shop.papers("filed");
    for (name, text, _) in &papers {
        shop.put(name, text);
    }
    shop.turn_after(Duration::ZERO);
    shop.turn_after(SETTLE);
    shop.turn_after(Duration::from_secs(30));
    assert_eq!(shop.left().len(), 0);
    let (mut filed, returned) = (shop.papers("filed"), shop.papers("returned"));
    filed.retain(|path, _| !filed_before.contains_key(path));
    assert_eq!((filed.len(), returned.len()), (2, 3));
    for (name, text, folder) in &papers {
        let arrival = shop.arrival(name);
        assert!(arrival.place.starts_with(folder), "{name}: {}", arrival.place);
        let path = shop.path("watch-folder").join(&arrival.place);
        assert_eq!(fs::read_to_string(&path).unwrap(), *text, "{name}");
        let hash = Digest::of(text.as_bytes());
        assert_eq!(arrival.hash, Some(hash));
        assert_eq!(shop.ledger().bytes_of(&hash).unwrap().as_deref(), Some(text.as_bytes()), "{name}");
        let slip = fs::read_to_string(format!("{}.slip.txt", path.display())).ok();
        assert_eq!(slip.as_deref().unwrap_or_default(), arrival.slip, "{name}");
        assert_eq!(slip.is_some(), *folder == "returned", "{name}");
    }
    assert!(shop.ledger().verify(&mut |_, _| {}).unwrap().is_sound());
}
