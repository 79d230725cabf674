//! What people were told is what is true: at rest nothing that must be known is untold, and nothing told has
//! become untrue without a letter that says so (promise 8). And whatever was typed, a letter stays a letter.
//!
//! Histories are grown in `support/histories.rs`; [`Desk`] takes them in as the daemon does and holds every
//! batch to what its letters must say.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]
#![allow(clippy::disallowed_methods, reason = "the number of cases may be raised from outside")]

#[path = "told/desk.rs"]
mod desk;
#[path = "support/histories.rs"]
mod histories;
mod support;

use benchdrop::facts::{Body, Fact, JobKey, Role};
use benchdrop::notices::{
    AlertItem, Changes, Letter, SummaryInput, Told, compare, next_date, standing_alerts,
};
use benchdrop::pages::{JobView, job_page};
use benchdrop::respond::{Response, respond};
use benchdrop::shop::{FactSet, Shop};
use desk::*;
use histories::{Dice, Move, PLAIN, Paper, Words, history, moves_of};
use jiff::Timestamp;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use support::{SITE, fact, measured, reading, shop_drop, shop_with_engine};

fn cases() -> u32 {
    std::env::var("BENCHDROP_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(256)
}

/// The same cases in every run: a red build must be red again.
fn config() -> ProptestConfig {
    ProptestConfig {
        cases: cases(),
        rng_seed: RngSeed::Fixed(24_017),
        failure_persistence: None,
        ..Default::default()
    }
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn at_rest_what_was_told_is_what_is_true(
        moves in proptest::collection::vec((0_usize..1000, any::<u64>()), 1..18), seed in any::<u64>()
    ) {
        let moves: Vec<Move> = moves;
        at_rest(&history(&moves, &PLAIN), PLAIN.job, seed);
    }
}

/// The property above would hold of a program that never finds anything out.
#[test]
fn the_histories_have_something_to_tell() {
    let mut told = [0_usize; 3];
    for seed in 0..256 {
        let desk = at_rest(&history(&moves_of(seed), &PLAIN), PLAIN.job, seed);
        let said = |what: &str| usize::from(desk.sent.iter().any(|letter| letter.text().contains(what)));
        told[0] += said("OUT OF LIMITS") * said("ASKED AGAIN");
        told[1] += said("before this you were told");
        told[2] += said("\n  cleared: ");
    }
    assert!(told.iter().all(|histories| *histories > 20), "{told:?}");
}

fn people(mail: Option<&str>) -> Arc<Fact> {
    let mut person = json!({"name": "Rowan Holt", "initials": "RH", "roles": ["owner"]});
    if let Some(mail) = mail {
        person["mail"] = mail.into();
    }
    let revision = if mail.is_some() { 9000 } else { 8000 };
    fact(&shop_drop("people", 400, json!({"revision": revision, "people": [person]})))
}

/// Nothing is forgotten because nobody could be reached when it was found out.
#[test]
fn what_nobody_could_be_told_is_told_later() {
    let mut later = 0;
    for seed in 0..128 {
        let mut desk = Desk::of(PLAIN.job);
        desk.take(vec![people(None)]);
        arriving(&history(&moves_of(seed), &PLAIN), seed).into_iter().for_each(|batch| desk.take(batch));
        desk.rest();
        assert!(desk.sent.is_empty() && desk.told.items.is_empty());
        desk.take(vec![people(Some("owner@shop.example"))]);
        let is_news = desk.sent.iter().any(|letter| !is_mailed_back(letter));
        assert_eq!(!is_news, desk.items().is_empty());
        later += usize::from(!desk.sent.is_empty());
        desk.rest();
    }
    assert!(later > 64, "{later} histories had something to tell");
}

const SCRIPT: &str = "<script>alert(1)</script>";
const PICTURE: &str = "\"><img src=x onerror=y>";
static HOSTILE: Words = Words {
    job: "24-<script>alert(1)</script>",
    said: "<script>alert(1)</script>\"><img src=x onerror=y>",
    tail: "\"><img src=x onerror=y>",
};

/// How often what was planted shows, always as the text it is.
fn shown(html: &str) -> usize {
    for planted in [SCRIPT, PICTURE, "<script", "<img"] {
        assert!(!html.contains(planted), "{planted} in\n{html}");
    }
    html.matches("&lt;script&gt;alert(1)").count() + html.matches("&lt;img src=x").count()
}

#[test]
fn whatever_was_typed_is_text_in_letters_and_pages() {
    let (mut letters, mut pages) = (0, 0);
    for seed in 0..64 {
        let desk = at_rest(&history(&moves_of(seed), &HOSTILE), HOSTILE.job, seed);
        letters += desk.sent.iter().map(|letter| shown(&letter.html())).sum::<usize>();
        pages += shown(&job_page(desk.view.as_ref().unwrap()));
    }
    assert!(letters > 500 && pages > 500, "{letters} {pages}");
}

/// Names on a sheet are typed too.
#[test]
fn names_on_a_sheet_are_text_too() {
    let hostile = |drop: &Value| {
        let text = ["main journal", "main clearance"]
            .iter()
            .fold(drop.to_string(), |text, name| text.replace(name, &format!("{name} {SCRIPT}")));
        fact(&serde_json::from_str(&text).unwrap())
    };
    let mut drops = shop_with_engine();
    let worn = reading("main journal", "3", "front", "X", "2.2440");
    drops.push(measured(20, "as received", "MIC", vec![worn]));
    let mut desk = Desk::of(PLAIN.job);
    desk.take(vec![people(Some("owner@shop.example"))]);
    desk.take(drops.iter().map(hostile).collect());
    desk.rest();
    assert!(shown(&desk.sent[0].html()) > 0 && shown(&job_page(desk.view.as_ref().unwrap())) > 0);
}

/// A subject is one line, whatever was typed: what stands behind a line break would be another header.
#[test]
fn a_subject_is_one_line() {
    static BROKEN: Words =
        Words { job: "24-\u{85}017", said: "Ferrow\u{85}mere\u{9b}", tail: "\u{85}Bcc: x" };
    let mut subjects = 0;
    for seed in 0..32 {
        for letter in at_rest(&history(&moves_of(seed), &BROKEN), BROKEN.job, seed).sent {
            assert!(!letter.subject.chars().any(char::is_control), "{:?}", letter.subject);
            assert!(!letter.key.chars().any(char::is_control), "{:?}", letter.key);
            subjects += 1;
        }
    }
    assert!(subjects > 32, "{subjects}");
}

/// The daily page is one line when nothing was dropped since the last.
#[test]
fn a_quiet_day_is_one_line() {
    let drops = [shop_drop(
        "people",
        0,
        json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "owner@shop.example"}]}),
    )];
    let mut set = FactSet::default();
    set.insert(fact(&drops[0]));
    let shop = Shop::fold(&set);
    let date = jiff::civil::date(2026, 3, 2);
    let due = benchdrop::notices::Due { from: date, date };
    let row = benchdrop::pages::BoardRow { written: "24-017".into(), ..Default::default() };
    let quiet = SummaryInput { rows: vec![std::sync::Arc::new(row)], ..SummaryInput::default() };
    let lines = |input: &SummaryInput| {
        let letters = benchdrop::notices::summary(input, &due, &jiff::tz::TimeZone::UTC, &shop);
        assert_eq!(letters.len(), 1);
        letters[0].text().lines().filter(|line| !line.is_empty()).count()
    };
    assert_eq!(lines(&quiet), 2, "the title and one line");
    assert!(lines(&SummaryInput { filed: 1, ..quiet }) > 4);
}

/// The same readings against another limit are other news, even where value, band and state stay.
#[test]
fn another_limit_is_told() {
    let mut drops = shop_with_engine();
    drops.push(shop_drop(
        "people",
        0,
        json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "owner@shop.example"}]}),
    ));
    let worn = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")]
        .map(|(s, d)| reading("main journal", "3", s, d, "2.2440"));
    drops.push(measured(20, "as received", "MIC", worn.to_vec()));
    let ask = |drops: &[Value], told: &Told| {
        let (job, shop) = support::sets(drops);
        let key = JobKey::of(support::JOB, SITE).unwrap();
        let now = Timestamp::from_millisecond(told.last.map_or(0, |last| last + QUARTER)).unwrap();
        respond(&key, job, told, &shop, Vec::new(), now)
    };
    let told = ask(&drops, &Told::default()).told;
    let mut late: Value = serde_json::from_str(support::OV24).unwrap();
    late["body"]["revision"] = 2.into();
    late["recorded"] = "2026-01-06T08:00:00+01:00".into();
    let features = late["body"]["features"].as_array_mut().unwrap();
    let journal = features.iter_mut().find(|feature| feature["feature"] == "main journal").unwrap();
    journal["rows"][0]["service"]["min"] = "2.2470".into();
    journal["rows"][0].as_object_mut().unwrap().remove("other-unit");
    drops.push(late);
    let after = ask(&drops, &told);
    assert!(!after.letters.is_empty());
    for item in items(&after.view, Timestamp::UNIX_EPOCH) {
        assert_eq!(after.told.items[&item.key].first, item.first);
    }
}
