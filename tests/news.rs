//! What the owner must know at once, kind by kind (trade notes A, "Timing of notices"): each is told when it becomes so,
//! with the words that matter on a telephone, and cleared when it is no longer so. Guards promises 5 and 8.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;

use benchdrop::facts::{Digest, JobKey};
use benchdrop::notices::{Letter, Told};
use benchdrop::respond::respond;
use benchdrop::shop::{FactSet, Shop};
use jiff::Timestamp;
use serde_json::{Value, json};
use support::{JOB, OV24, SITE, drop_at, fact, gauges, house_rules, journal, measured, shop_drop};

/// A desk that is told of a job drop by drop, a quarter of an hour apart.
struct Desk {
    shop: FactSet,
    job: FactSet,
    told: Told,
    now: Timestamp,
    next_look: Option<i64>,
}

impl Desk {
    /// The shop with its engine: the sheet with a group of single-use bolts, which clamp the main housings.
    fn new() -> Self {
        let mut sheet: Value = serde_json::from_str(OV24).unwrap();
        sheet["body"]["fasteners"] = json!([{"group": "G03", "name": "main cap bolts", "lubricant": "oil",
            "sizes": [{"size": "1/2-13 x 3.75", "count": 10}], "torque-unit": "lbf ft", "stages": ["30", "60"],
            "single-use": true, "clamps": ["main housing"], "grade": "grade 8"}]);
        // What is looked at after other groups were tightened is not asked of this one.
        sheet["body"]["checks"] = json!([
            {"check": "pump primed", "stage": "released", "by": "bench",
                "words": "oil pressure is seen without starting", "before-start": ["main shell"]},
            {"check": "first start", "stage": "released", "by": "bench",
                "words": "it runs", "runs": true}]);
        let mut desk = Self {
            shop: FactSet::default(),
            job: FactSet::default(),
            told: Told::default(),
            now: at("2026-03-05T12:00:00Z"),
            next_look: None,
        };
        let people = json!({"revision": 1, "people": [
            {"name": "Rowan Holt", "initials": "RH", "roles": ["owner"], "mail": "owner@shop.example"},
            {"name": "Lin Marr", "initials": "LM", "roles": ["bench"], "mail": "bench@shop.example"}]});
        let mut drops = gauges();
        drops.extend([sheet, house_rules(0), shop_drop("people", 0, people), support::check_in(10)]);
        assert_eq!(desk.take(&drops), []);
        desk
    }

    fn take(&mut self, drops: &[Value]) -> Vec<Letter> {
        let (of_job, of_shop): (Vec<_>, Vec<_>) = drops.iter().map(fact).partition(|fact| fact.job.is_some());
        for fact in of_shop {
            self.shop.insert(fact);
        }
        self.now = Timestamp::from_second(self.now.as_second() + 15 * 60).unwrap();
        self.look(of_job)
    }

    fn look(&mut self, new: Vec<std::sync::Arc<benchdrop::facts::Fact>>) -> Vec<Letter> {
        let (key, shop) = (JobKey::of(JOB, SITE).unwrap(), Shop::fold(&self.shop));
        let response = respond(&key, std::mem::take(&mut self.job), &self.told, &shop, new, self.now);
        (self.job, self.told, self.next_look) = (response.state, response.told, response.next_look);
        let held: Vec<_> = response.view.job.held.iter().map(|held| held.why.to_string()).collect();
        assert!(held.is_empty(), "{held:?}");
        // Statements mailed back to whoever they name are not news; `tests/codes.rs` is about them.
        response.letters.into_iter().filter(|letter| !letter.key.starts_with("recorded/")).collect()
    }

    /// Takes one drop; gives the one letter it causes.
    fn one(&mut self, drop: &Value) -> Letter {
        let letters = self.take(std::slice::from_ref(drop));
        assert_eq!(letters.len(), 1, "{:#?}", letters.iter().map(Letter::text).collect::<Vec<_>>());
        letters.into_iter().next().unwrap()
    }

    /// Takes one drop that nobody has to know of at once.
    fn none(&mut self, drop: &Value) {
        let letters = self.take(std::slice::from_ref(drop));
        assert!(letters.is_empty(), "{}", letters[0].text());
    }
}

fn at(time: &str) -> Timestamp {
    time.parse().unwrap()
}

fn digest_of(drop: &Value) -> String {
    Digest::of(&serde_json::to_vec(drop).unwrap()).short()
}

fn withdrawal(minute: u32, drop: &Value) -> Value {
    drop_at("withdrawal", minute, json!({"drop": digest_of(drop), "why": "another engine"}))
}

fn says(letter: &Letter, to: &str, subject: &str, words: &[&str]) {
    assert_eq!((letter.to.as_str(), letter.subject.as_str()), (to, subject), "{}", letter.text());
    for words in words {
        assert!(letter.text().contains(words), "no {words:?} in {}", letter.text());
    }
}

const OWNER: &str = "owner@shop.example";

fn finding(minute: u32, seen: Value) -> Value {
    drop_at("finding", minute, json!({"findings": [seen]}))
}

#[test]
fn a_crack_and_a_failed_test() {
    let mut desk = Desk::new();
    desk.none(&finding(
        20,
        json!({"part": "piston", "positions": ["2"], "defect": "scoring", "severity": 4}),
    ));
    let crack = finding(
        30,
        json!({"part": "block", "where": "between bores 2 and 3", "defect": "crack", "severity": 5}),
    );
    let told = desk.one(&crack);
    assert!(!told.may_wait, "word of it never waits for room among other letters");
    says(
        &told,
        OWNER,
        "24-017: block: crack",
        &["STOPS THE JOB", "between bores 2 and 3", "severity 5 of 5", "next: "],
    );
    let again = finding(
        40,
        json!({"part": "block", "where": "between bores 2 and 3", "defect": "crack", "severity": 5,
        "note": "40 mm long"}),
    );
    says(&desk.one(&again), OWNER, "24-017: changed block: crack", &["40 mm long"]);
    assert!(
        desk.take(&[withdrawal(50, &crack), withdrawal(51, &again)])[0]
            .subject
            .contains("cleared: block: crack")
    );

    let test = |minute, result| {
        finding(
            minute,
            json!({"part": "crankshaft", "defect": "nothing found", "severity": 0,
            "test": {"kind": "magnetic particle", "result": result, "how": "wet"}}),
        )
    };
    let letter = desk.one(&test(60, "failed"));
    says(
        &letter,
        OWNER,
        "24-017: crankshaft failed its magnetic particle test",
        &["TAKE CARE", "pacemakers", "(wet)"],
    );
    // Nothing was done between: the later word does not win by being later, a person says which of the two is wrong.
    let both = desk.one(&test(70, "passed"));
    assert!(both.subject.contains("changed crankshaft failed"), "{}", both.subject);
    assert!(both.text().contains("one of the two is wrong"), "{}", both.text());
    let word = json!({"disposition": {"part": "crankshaft", "what": "reuse same position", "why": "a scratch", "by": "Rowan Holt"}});
    assert!(desk.one(&drop_at("decision", 80, word)).subject.contains("cleared: crankshaft failed"));
}

/// Who has said what becomes of it is not reminded of it; who has not is, once.
#[test]
fn a_decision_ends_the_waiting() {
    for decided in [false, true] {
        let mut desk = Desk::new();
        desk.one(&finding(30, json!({"part": "block", "defect": "crack", "severity": 5})));
        if decided {
            let what = json!({"disposition": {"part": "block", "what": "scrap", "why": "cracked", "by": "Rowan Holt"}});
            desk.none(&drop_at("decision", 60, what));
        }
        assert_eq!(desk.next_look.is_some(), !decided);
        desk.now = at("2026-03-08T12:00:00Z");
        let letters = desk.look(vec![]);
        assert_eq!(letters.len(), usize::from(!decided));
        assert!(letters.iter().all(|letter| letter.subject == "24-017: still waiting: block: crack"));
        assert_eq!(desk.look(vec![]), []);
    }
}

/// Main journals go down to 0.030 under at most; one worn past that leaves no size.
#[test]
fn no_size_left() {
    let mut desk = Desk::new();
    let set = measured(20, "as received", "MIC", journal("main journal", "3", ["2.2101"; 4]));
    // So far worn it could be a slip, and counts once somebody has looked again.
    let places = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];
    let confirmed = places.map(|(station, direction)| {
        drop_at(
            "decision",
            25,
            json!({"confirm-reading": {"drop": digest_of(&set), "feature": "main journal",
            "position": "3", "station": station, "direction": direction, "why": "measured again"}}),
        )
    });
    let letters = desk.take(&[&[set.clone()][..], &confirmed].concat());
    let letter = letters.iter().find(|letter| letter.to == OWNER).unwrap();
    assert_eq!(letter.subject, "24-017: no size left for main journal 3, and 1 more");
    assert!(letter.text().contains("no size clears main journal 3"), "{}", letter.text());
}

#[test]
fn single_use_bolts_used_again_or_measured_under() {
    let mut desk = Desk::new();
    let mut housing = measured(20, "as received", "BORE", vec![]);
    let readings: Vec<Value> =
        [("front", "vertical"), ("front", "60 left"), ("rear", "vertical"), ("rear", "60 left")]
            .map(|(station, way)| support::reading("main housing", "2", station, way, "2.4018"))
            .to_vec();
    housing["body"]["readings"] = readings.into();
    housing["body"]["bolts"] = "old".into();
    let letters = desk.take(std::slice::from_ref(&housing));
    let bench = letters.iter().find(|letter| letter.to == "bench@shop.example").unwrap();
    assert!(
        bench.text().contains("main housing 2: measured with the old main cap bolts, which are single use")
    );

    let mut desk = Desk::new();
    let tightened = |minute, bolts, slackened: Option<&str>| {
        let mut torque = json!({"group": "G03", "lubricant": "oil", "bolts": bolts});
        torque.as_object_mut().unwrap().extend(slackened.map(|seen| ("slackened".to_owned(), seen.into())));
        drop_at("assembly", minute, json!({"torque": [torque]}))
    };
    let letter = desk.one(&tightened(30, "used", None));
    assert_eq!(letter.to, OWNER);
    for words in [
        "G03 main cap bolts: single use by the sheet",
        "ASSEMBLED WITH A GATE OPEN",
        "next: let the joint go there, fit new ones",
    ] {
        assert!(letter.text().contains(words), "no {words:?} in {}", letter.text());
    }
    // Written over them, new ones are not in: nobody let the joint go.
    let over = desk.take(&[tightened(35, "new", None)]);
    assert!(over.iter().all(|letter| !letter.text().contains("CLEARED")), "{over:?}");
    let mended = desk.one(&tightened(40, "new", Some("the used ones are out and scrapped")));
    assert!(
        mended.text().contains("CLEARED") && mended.text().contains("main cap bolts"),
        "{}",
        mended.text()
    );
}

fn order(minute: u32, due: &str) -> Value {
    drop_at(
        "work-order",
        minute,
        json!({"order": "WO-1", "out": {"to": "Stenning Machine", "operation": "grind",
        "parts": [{"part": "crankshaft", "count": 1}], "due": due}}),
    )
}

/// A day ends at midnight where the paper was written, and nobody need drop anything for it to be told.
#[test]
fn outside_work_that_is_overdue() {
    let mut desk = Desk::new();
    // What nobody agreed to would be held.
    let work = json!([{"operation": "grind", "feature": "crankpin", "positions": ["all"]}]);
    desk.none(&drop_at(
        "decision",
        15,
        json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": work}}),
    ));
    let mut out = order(20, "2026-03-12");
    out["recorded"] = "2026-03-05T09:00:00-05:00".into();
    desk.none(&out);
    let midnight = at("2026-03-13T05:00:00Z");
    assert_eq!(desk.next_look, Some(midnight.as_millisecond()));
    desk.now = Timestamp::from_second(midnight.as_second() - 1).unwrap();
    assert_eq!(desk.look(vec![]), []);
    desk.now = midnight;
    let letters = desk.look(vec![]);
    says(
        &letters[0],
        OWNER,
        "24-017: work order WO-1 overdue",
        &["grind at Stenning Machine, due 2026-03-12, not back"],
    );
    let back = json!({"order": "WO-1", "back": {"parts": [{"part": "crankshaft", "count": 1}], "result": "accepted"}});
    let back = drop_at("work-order", 90, back);
    says(&desk.one(&back), OWNER, "24-017: cleared: work order WO-1 overdue", &[]);
    assert_eq!(desk.next_look, None);
}

#[test]
fn an_approval_that_has_expired() {
    let mut desk = Desk::new();
    let estimate = drop_at(
        "account",
        20,
        json!({"estimate": {"lines": [{"what": "labour", "amount": "900.00"}],
        "not-to-exceed": "1400.00", "expires": "2026-04-15"}}),
    );
    desk.none(&estimate);
    assert_eq!(desk.next_look, None, "nobody has approved it yet");
    let approval =
        |granted: bool| json!({"approval": {"granted": granted, "by": "Ines Ferrow", "how": "mail"}});
    desk.none(&drop_at("decision", 30, approval(true)));
    let midnight = at("2026-04-16T00:00:00Z");
    assert_eq!(desk.next_look, Some(midnight.as_millisecond()));
    desk.now = midnight;
    let letters = desk.look(vec![]);
    says(
        &letters[0],
        OWNER,
        "24-017: the customer's approval has expired",
        &["was good until 2026-04-15", "next: "],
    );
}

#[test]
fn a_questioned_reading_holds_the_cut() {
    let mut desk = Desk::new();
    let agreed = json!({"agreed-work": {"unit": "in", "agreed-by": "Rowan Holt", "work": [
        {"operation": "grind", "feature": "main journal", "positions": ["all"], "finished": "0.010 under"}]}});
    desk.none(&drop_at("decision", 20, agreed));
    let letters =
        desk.take(&[measured(30, "as received", "MIC", journal("main journal", "4", ["2.4288"; 4]))]);
    assert_eq!(letters.len(), 2, "the bench is asked again, the owner holds the cut");
    let owner = letters.iter().find(|letter| letter.to == OWNER).unwrap();
    says(
        owner,
        OWNER,
        "24-017: hold the cut on main journal 4",
        &["nothing is cut until it is measured again"],
    );
}

/// A whole letter, as it stands on a telephone: printed for people who run this with --nocapture.
#[test]
fn a_letter_reads_from_the_top() {
    let mut desk = Desk::new();
    let mut readings = journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]);
    readings.extend(journal("main journal", "4", ["2.4288"; 4]));
    for letter in desk.take(&[measured(20, "as received", "MIC", readings)]) {
        println!("{}\n=====", letter.text());
        let text = letter.text();
        let first: Vec<&str> = text.lines().filter(|line| !line.is_empty()).take(4).collect();
        assert!(first[2].contains("main journal"), "what and where within four lines: {first:?}");
        assert!(
            text.find("next: ").unwrap() < text.find("Job 24-017").unwrap(),
            "the engine's data stand below"
        );
    }
}

/// Trade notes A, step 23: a dry start wipes bearings in seconds. Who has to know hears it at once, until they were looked at.
#[test]
fn an_engine_that_ran_dry() {
    let mut desk = Desk::new();
    let answer = |minute, check: &str| {
        drop_at("assembly", minute, json!({"checks": [{"check": check, "result": "yes"}]}))
    };
    let told = desk.one(&answer(20, "first start"));
    says(&told, OWNER, "24-017: ran before pump primed", &["RAN BEFORE IT WAS READY", "look at main shell"]);
    assert!(desk.one(&answer(30, "pump primed")).text().contains("answered afterwards"));
    let look = json!({"part": "main shell", "positions": ["1"], "defect": "nothing found", "severity": 0});
    assert!(desk.one(&finding(40, look)).subject.contains("cleared: ran before pump primed"));
    let mut desk = Desk::new();
    desk.none(&answer(20, "pump primed"));
    desk.none(&answer(30, "first start"));
}
