//! When letters leave, on a clock that is turned by hand: the first of an engine at once, what follows gathered, one
//! reminder a day later, no more than ten to one person within the hour, each in its thread; over a restart, and over a
//! stop after every single step. Guards promise 8.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/house.rs"]
mod house;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;
#[path = "support/walk.rs"]
mod walk;

use benchdrop::facts::Digest;
use script::{engine, shop};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;
use support::{drop_at, journal, measured, shop_drop, shop_with_engine};
use temp_shop::{Mail, TempShop};
use walk::{Round, ToFolder, walk};

const WORN: [&str; 4] = ["2.2479", "2.2471", "2.2480", "2.2472"];
const SWAPPED: [&str; 4] = ["2.4288", "2.4288", "2.4288", "2.4288"];

fn minutes(minutes: u64) -> Duration {
    Duration::from_secs(minutes * 60)
}

fn main(position: &str, minute: u32, values: [&str; 4]) -> Value {
    measured(minute, "as received", "MIC", journal("main journal", position, values))
}

fn people(roles: &[(&str, &[&str])]) -> Value {
    let people: Vec<Value> = roles
        .iter()
        .map(|(name, roles)| json!({"name": name, "initials": name, "roles": roles, "mail": format!("{name}@shop.example")}))
        .collect();
    shop_drop("people", 0, json!({"revision": 1, "people": people}))
}

/// The shop with its engine and its people, and the first letter gone: main journal 3 is too small.
fn told() -> TempShop {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    drops.push(people(&[("owner", &["owner"]), ("bench", &["bench"])]));
    shop.take(&drops);
    put(&mut shop, &main("3", 20, WORN));
    assert_eq!(subjects(&shop), ["owner 24-017: main journal 3 too small, and 1 more"]);
    shop
}

/// Drops and takes in, within some seconds.
fn put(shop: &mut TempShop, drop: &Value) -> String {
    let text = drop.to_string();
    let digest = Digest::of(text.as_bytes()).short();
    shop.put(format!("{digest}.json"), text);
    shop.settle();
    digest
}

fn later(shop: &mut TempShop, wait: Duration) {
    shop.turn_after(wait);
    shop.settle();
}

/// Whom each alert went to and what about, in the order they were queued.
fn subjects(shop: &TempShop) -> Vec<String> {
    shop.alerts().iter().map(|mail| format!("{} {}", reader(mail), mail.subject)).collect()
}

fn reader(mail: &Mail) -> &str {
    let to = mail.header("To").trim_end_matches('>');
    to.rsplit_once('<').map_or(to, |(_, address)| address).split('@').next().unwrap()
}

#[test]
fn what_follows_the_first_letter_gathers_in_one() {
    let mut shop = told();
    put(&mut shop, &main("1", 21, WORN));
    later(&mut shop, minutes(5));
    put(&mut shop, &main("2", 22, WORN));
    put(&mut shop, &main("4", 23, SWAPPED));
    later(&mut shop, minutes(8));
    assert_eq!(subjects(&shop).len(), 1, "13 minutes after the first");
    // Whoever looks for it after a restart finds it too.
    shop.once();
    later(&mut shop, minutes(2));
    assert_eq!(
        subjects(&shop)[1..],
        ["bench 24-017: main journal 4 questioned", "owner 24-017: main journal 1 too small, and 3 more"]
    );
    let both = &shop.alerts()[2].text;
    for said in ["main journal 1, size", "main journal 2, size", "main journal 1, out-of-round"] {
        assert!(both.contains(said), "{said} in {both}");
    }
    later(&mut shop, minutes(60));
    assert_eq!(subjects(&shop).len(), 3, "nothing twice");
}

#[test]
fn what_came_and_went_within_the_quarter_leaves_nothing_to_say() {
    let mut shop = told();
    let slip = put(&mut shop, &main("1", 21, WORN));
    later(&mut shop, minutes(3));
    put(&mut shop, &drop_at("withdrawal", 30, json!({"drop": slip, "why": "another engine"})));
    later(&mut shop, minutes(30));
    assert_eq!(subjects(&shop).len(), 1);
    assert!(!shop.alerts()[0].text.contains("main journal 1"));
}

#[test]
fn what_was_told_and_went_is_cleared_and_nobody_is_reminded_of_it() {
    let mut shop = told();
    later(&mut shop, minutes(20));
    let gone = put(&mut shop, &main("1", 21, WORN));
    assert_eq!(subjects(&shop).len(), 2);
    put(&mut shop, &drop_at("withdrawal", 30, json!({"drop": gone, "why": "another engine"})));
    later(&mut shop, minutes(15));
    let cleared = &shop.alerts()[2];
    assert!(cleared.subject.starts_with("24-017: cleared: main journal 1 "), "{}", cleared.subject);
    later(&mut shop, minutes(25 * 60));
    assert_eq!(subjects(&shop)[3..], ["owner 24-017: still waiting: main journal 3 too small, and 1 more"]);
    assert!(!shop.alerts()[3].text.contains("main journal 1"));
}

#[test]
fn one_reminder_after_a_day_of_what_waits_for_its_reader() {
    let mut shop = told();
    later(&mut shop, minutes(20));
    put(&mut shop, &main("4", 23, SWAPPED));
    later(&mut shop, minutes(23 * 60 + 30));
    assert_eq!(subjects(&shop).len(), 2);
    later(&mut shop, minutes(15));
    assert_eq!(subjects(&shop).len(), 3, "each a day after it was told");
    later(&mut shop, minutes(20));
    let reminders = [
        "owner 24-017: still waiting: main journal 3 too small, and 1 more",
        "bench 24-017: still waiting: main journal 4 questioned",
    ];
    assert_eq!(subjects(&shop)[2..], reminders);
    assert!(shop.alerts()[2].text.contains("from here the daily summary carries it"));
    later(&mut shop, minutes(10 * 24 * 60));
    assert_eq!(subjects(&shop).len(), 4, "once");
}

/// Work is agreed: it waits for the machinist, and the owner has nothing more to do about it.
#[test]
fn nobody_is_reminded_of_what_he_has_decided() {
    let mut shop = told();
    let work = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]}});
    put(&mut shop, &drop_at("decision", 90, work));
    later(&mut shop, minutes(48 * 60));
    // Nobody of that name has an address: the owner hears what was recorded in it, and no more.
    let unknown = "owner 24-017: recorded in the name of Rowan Holt, whom no letter reaches: \
                   work agreed: grind main journal to 0.010 under";
    assert_eq!(subjects(&shop)[1..], [unknown]);
}

/// By the headers, as a mail reader does it: one thread a reader and engine, each letter an answer to its first.
#[test]
fn letters_are_threads_by_reader_and_engine() {
    let mut shop = told();
    for (position, values) in [("1", WORN), ("4", SWAPPED), ("2", SWAPPED), ("2", WORN)] {
        later(&mut shop, minutes(16));
        put(&mut shop, &main(position, 21, values));
    }
    let mut other = measured(20, "as received", "MIC", journal("main journal", "3", WORN));
    for drop in [&mut support::check_in(10), &mut other] {
        drop["job"] = "24-018".into();
        put(&mut shop, drop);
    }
    later(&mut shop, minutes(26 * 60));
    let mut first: BTreeMap<(String, String), String> = BTreeMap::new();
    let mut ids = BTreeSet::new();
    for mail in shop.alerts() {
        let (engine, _) = mail.subject.split_once(':').unwrap();
        let id = mail.header("Message-ID").to_owned();
        let all = |name: &str| {
            let values = mail.headers.iter().filter(|(known, _)| known == name);
            values.map(|(_, value)| value.clone()).collect::<Vec<_>>()
        };
        let answered = [all("In-Reply-To"), all("References")];
        match first.get(&(reader(&mail).to_owned(), engine.to_owned())) {
            Some(first) => assert_eq!(answered, [[first.clone()], [first.clone()]], "{}", mail.subject),
            None => {
                assert!(answered.iter().all(Vec::is_empty), "{answered:?}");
                first.insert((reader(&mail).to_owned(), engine.to_owned()), id.clone());
            }
        }
        assert!(ids.insert(id));
    }
    assert_eq!(first.len(), 3, "{first:?}");
    assert!(ids.len() > 8, "{}", ids.len());
}

#[test]
fn each_reader_gets_what_is_his_and_one_with_two_roles_one_letter() {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    drops.push(people(&[("both", &["owner", "bench"]), ("bench", &["bench"]), ("parts", &["parts"])]));
    shop.take(&drops);
    let mut readings = journal("main journal", "3", WORN);
    readings.extend(journal("main journal", "4", SWAPPED));
    put(&mut shop, &measured(20, "as received", "MIC", readings));
    assert_eq!(
        subjects(&shop),
        ["bench 24-017: main journal 4 questioned", "both 24-017: main journal 3 too small, and 2 more"]
    );
}

/// Twelve engines out of limits in one batch: ten letters leave, two wait and leave as one when the hour has passed; the
/// same with the reminders a day later. Stopped after any step it is the same, and nothing is told twice.
#[test]
fn a_flood_becomes_ten_letters_and_one_also_over_a_stop_after_each_step() {
    let begin = "2026-03-17T05:00:30Z".parse().unwrap();
    let mut papers = shop(begin);
    papers.extend((1..=12).flat_map(|number| engine(begin, &format!("25-{number:03}"))));
    let rounds: Vec<Round> = vec![
        (papers, minutes(50)),
        (vec![], minutes(20)),
        (vec![], minutes(23 * 60)),
        (vec![], minutes(61)),
        (vec![], minutes(1)),
    ];
    let walked = walk([&ToFolder, &ToFolder], &rounds);
    assert!(
        ["Committed", "LetGo", "Refolded"].iter().all(|step| walked.stops[*step] > 0),
        "{:?}",
        walked.stops
    );
    let to_owner = walked.letters.iter().filter(|letter| letter.contains("owner@shop.example"));
    let subjects: Vec<&str> = to_owner
        .map(|letter| letter.lines().find_map(|line| line.strip_prefix("Subject: ")).unwrap())
        .collect();
    let count = |words: &str| subjects.iter().filter(|subject| subject.contains(words)).count();
    let counts =
        (count("bore 1 too large"), count(": still waiting"), count("2 letters about 2 engines in one"));
    assert_eq!(counts, (20, 10, 2), "{subjects:#?}");
}
