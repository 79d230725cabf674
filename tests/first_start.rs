//! The first start in numbers: what is read is held against the sheet, and an engine with too little oil pressure is not
//! released. Guards promises 4 (exact at the limit) and 6 (a gap is not a pass).
//!
//! The limits are those of the trade notes (H1: 10 psi at hot idle, 40 to 60 psi at 3,000 rpm).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "support/digits.rs"]
mod digits;
#[path = "support/rebuild.rs"]
mod rebuild;
mod support;

use benchdrop::facts::JobKey;
use benchdrop::pages::{JobView, build_record, customer_page};
use benchdrop::respond::view;
use benchdrop::shop::{FactSet, Shop};
use rebuild::{JOB, OV24_REBUILD, rebuild};
use support::{SITE, fact};

/// The engine as handed over, with another value for one check; without its answer where there is none.
fn answered(check: &str, made: Option<&str>) -> JobView {
    let (mut shop, mut job) = (FactSet::default(), FactSet::default());
    for (name, mut drop) in rebuild(&OV24_REBUILD) {
        if name == format!("check {check}") {
            let Some(value) = made else { continue };
            let answer = drop["body"]["checks"][0].as_object_mut().unwrap();
            assert!(answer.remove("value").is_some(), "the sheet asks for a number");
            if !value.is_empty() {
                answer.insert("value".to_owned(), value.into());
            }
        }
        let fact = fact(&drop);
        if fact.job.is_some() {
            job.insert(fact)
        } else {
            shop.insert(fact)
        };
    }
    view(&JobKey::of(JOB, SITE).unwrap(), &job, &Shop::fold(&shop))
}

/// The one blocker about a check, with whom it waits for.
fn open(check: &str, made: Option<&str>) -> String {
    let standing = answered(check, made).standing;
    let about = standing.blockers.iter().filter(|blocker| blocker.about == check);
    let words: Vec<String> =
        about.map(|blocker| format!("{}: {}", blocker.actor.word(), blocker.what)).collect();
    assert_eq!(words.len(), 1, "{check}, {made:?}: {words:?}");
    assert_eq!(standing.words(), "awaiting release");
    words[0].clone()
}

#[test]
fn numbers_inside_release_it() {
    for (check, value) in [
        ("oil pressure hot idle", "10 psi"),
        ("oil pressure hot idle", "22"),
        ("oil pressure hot idle", "1.5 bar"),
        ("oil pressure at speed", "40 psi"),
        ("oil pressure at speed", "60,0 psi"),
        ("coolant temperature", "88 deg C"),
        ("time to oil pressure", "6 s"),
    ] {
        let now = answered(check, Some(value));
        assert!(now.standing.blockers.is_empty(), "{check} {value}: {:?}", now.standing.blockers);
        for page in [build_record(&now), customer_page(&now)] {
            assert!(page.contains(value), "{check}: {value} stands on record and page");
        }
    }
}

#[test]
fn numbers_outside_keep_it() {
    for (check, value, asked) in [
        ("oil pressure hot idle", "9.9 psi", "at least 10 psi"),
        ("oil pressure hot idle", "0.6 bar", "at least 10 psi"),
        ("oil pressure at speed", "39.9", "40 to 60 psi"),
        ("oil pressure at speed", "60.1 psi", "40 to 60 psi"),
    ] {
        let open = open(check, Some(value));
        assert!(open.starts_with(&format!("bench: {value} by LM")), "{open}");
        assert!(open.contains(&format!("the sheet asks for {asked}: do not run it on")), "{open}");
    }
}

#[test]
fn what_was_not_read_is_asked_for() {
    for (value, words) in [
        ("", "without what was read: say it as the value, at least 10 psi"),
        ("good", "\"good\" by LM"),
        ("22 deg C", "is no such number"),
    ] {
        let open = open("oil pressure hot idle", Some(value));
        assert!(open.contains(words), "{value:?}: {open}");
    }
    let open = open("oil pressure at speed", None);
    assert!(open.contains("say what was read, 40 to 60 psi"), "{open}");
}
