//! Money that is approved is mailed back with its sums: to whom the check-in names for it where it says their mail, with the
//! owner beside; nothing else leaves the shop. Guards promise 9.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;

use benchdrop::facts::JobKey;
use benchdrop::notices::{Letter, Told};
use benchdrop::pages::job_text;
use benchdrop::respond::respond;
use serde_json::{Value, json};
use support::*;

const OWNER: &str = "rowan@shop.example";
const APPROVER: &str = "ines@ferrowmere.example";

/// An engine with an estimate of two lines, 1250.00 in all, and this word on it.
fn drops(reach: &str, approval: Value) -> Vec<Value> {
    let people = json!({"revision": 1, "people": [
        {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": OWNER}]});
    let estimate = json!({"estimate": {"option": "A, grind", "lines": [{"what": "labour", "amount": "900.00"},
        {"what": "grinding", "amount": "350.00"}], "not-to-exceed": "1400.00", "expires": "2026-04-15"}});
    let mut base = shop_with_engine();
    let check_in = &mut base.last_mut().unwrap()["body"];
    check_in["approver"] = "Ines Ferrow".into();
    check_in["customer"]["reach"] = reach.into();
    let sign = json!({"step": "inspection", "name": "Ines Ferrow"});
    let prices = json!({"revision": 1, "currency": "EUR", "hour": "65.00", "operations": [], "parts": []});
    let more = [
        shop_drop("people", 0, people),
        shop_drop("price-list", 0, prices),
        drop_at("account", 20, estimate),
        drop_at("decision", 30, json!({"approval": approval})),
        drop_at("sign-off", 40, sign),
    ];
    with(&base, &more)
}

fn letters(drops: &[Value], told: &Told) -> (Vec<Letter>, Told, String) {
    let (job, shop) = sets(drops);
    let now = "2026-03-02T12:00:00Z".parse().unwrap();
    let response = respond(&JobKey::of(JOB, SITE).unwrap(), job, told, &shop, [], now);
    let own = response.letters.into_iter().filter(|letter| letter.key.starts_with("recorded/"));
    (own.collect(), response.told, job_text(&response.view, true))
}

fn yes(by: &str) -> Value {
    json!({"granted": true, "by": by, "how": "mail"})
}

#[test]
fn whoever_approved_has_the_sums_in_writing_and_the_owner_beside() {
    let drops = drops("555 0142, or Ines <ines@ferrowmere.example>", yes("Ines Ferrow"));
    let (sent, told, page) = letters(&drops, &Told::default());
    let to = |address: &str| sent.iter().filter(|l| l.to == address).map(Letter::text).collect::<Vec<_>>();
    let said = [
        "money approved up to 1400.00 EUR",
        "option A, grind: comes to 1250.00 EUR, at most 1400.00 EUR, holds until 2026-04-15",
    ];
    for letter in [&to(APPROVER)[0], &to(OWNER).join("\n"), &page] {
        for words in said {
            let words =
                if std::ptr::eq(letter, &page) { words.trim_start_matches("money approved ") } else { words };
            assert!(letter.contains(words), "{words}: {letter}");
        }
    }
    // Who is no person of the shop reads no words of it.
    let letter = &to(APPROVER)[0];
    assert!(letter.contains("Your engine OV-24 OV24-00317: money approved"), "{letter}");
    for shop_word in ["drop", "evidence", "recorded in"] {
        assert!(!letter.contains(shop_word), "{shop_word}: {letter}");
    }
    // The signature in her name is the shop's business.
    assert!(to(APPROVER).len() == 1 && !to(APPROVER)[0].contains("signed"), "{:?}", to(APPROVER));
    assert!(
        to(OWNER).join("\n").contains("who has a letter too")
            && to(OWNER).join("\n").contains("inspection signed")
    );
    assert_eq!(letters(&drops, &told).0, []);
}

#[test]
fn nobody_else_outside_the_shop_has_a_letter() {
    let outside = |drops: &[Value]| {
        let (sent, ..) = letters(drops, &Told::default());
        assert!(sent.iter().any(|l| l.to == OWNER && l.text().contains("whom no letter reaches")));
        sent.into_iter().filter(|letter| letter.to != OWNER).map(|letter| letter.to).collect::<Vec<_>>()
    };
    let none = Vec::<String>::new();
    // No mail is known, or somebody else gave the word.
    assert_eq!(outside(&drops("555 0142", yes("Ines Ferrow"))), none);
    assert_eq!(outside(&drops("at @ the mill, or in@nowhere", yes("Ines Ferrow"))), none);
    assert_eq!(outside(&drops(APPROVER, yes("A. Stranger"))), none);
}

#[test]
fn an_amount_and_a_refusal_are_said_too() {
    let part = json!({"granted": true, "by": "Ines Ferrow", "how": "mail", "amount": "600.00"});
    let (sent, ..) = letters(&drops(APPROVER, part), &Told::default());
    assert!(sent.iter().any(|l| l.to == APPROVER && l.subject.contains("money approved up to 600.00 EUR")));
    let no = json!({"granted": false, "by": "ines ferrow", "how": "telephone", "why": "too dear"});
    let (sent, ..) = letters(&drops(APPROVER, no), &Told::default());
    let letter = sent.iter().find(|l| l.to == APPROVER).unwrap();
    for words in ["money declined", "comes to 1250.00 EUR, at most 1400.00 EUR", "why: too dear"] {
        assert!(letter.text().contains(words), "{words}: {}", letter.text());
    }
    assert!(!letter.text().contains("up to"));
}

/// The check-in says who they are behind their name; they sign with the name.
#[test]
fn the_approver_is_known_by_the_name() {
    let mut all = drops("Ines <ines@ferrowmere.example>", yes("Ines Ferrow"));
    let check_in = all.iter_mut().find(|drop| drop["kind"] == "check-in").unwrap();
    check_in["body"]["approver"] = "Ines Ferrow, owner of the mill".into();
    let open = |drops: &[Value]| {
        let blockers = look(drops).standing.blockers;
        blockers.into_iter().filter(|blocker| blocker.about == "approver").count()
    };
    assert_eq!(open(&all), 0);
    assert!(letters(&all, &Told::default()).0.iter().any(|letter| letter.to == APPROVER));
    let approval = all.iter_mut().find(|drop| drop["body"]["approval"].is_object()).unwrap();
    approval["body"]["approval"]["by"] = "Ines".into();
    assert_eq!(open(&all), 1, "half a name is no name");
    let approval = all.iter_mut().find(|drop| drop["body"]["approval"].is_object()).unwrap();
    approval["body"]["approval"]["by"] = "Ines Ferrow, his sister".into();
    assert_eq!(open(&all), 1, "what stands behind both names tells them apart");
}

/// Of much that waits a row shows a little: what waits for the customer is among it, however much is to be measured.
#[test]
fn a_row_shows_what_waits_for_the_customer() {
    let drops: Vec<Value> = drops("555 0142", yes("Ines Ferrow"))
        .into_iter()
        .filter(|drop| drop["body"]["approval"].is_null())
        .collect();
    let row = benchdrop::pages::BoardRow::of(&look(&drops), 0);
    let answer =
        row.waits.iter().position(|wait| wait.actor == "customer" && wait.what.contains("no answer"));
    assert!(row.waits.len() > 3 && answer == Some(1), "{:?}", row.waits);
}
