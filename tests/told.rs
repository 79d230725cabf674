//! What people were told is what is true: at rest nothing that must be known is untold, and nothing told has
//! become untrue without a letter that says so (promise 8). And whatever was typed, a letter stays a letter.
//!
//! Histories are grown in `support/histories.rs`; [`Desk`] takes them in as the daemon does and holds every
//! batch to what its letters must say.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]
#![allow(clippy::disallowed_methods, reason = "the number of cases may be raised from outside")]

#[path = "support/histories.rs"]
mod histories;
mod support;

use benchdrop::facts::{Fact, JobKey, Role};
use benchdrop::notices::{
    AlertItem, Changes, Letter, SummaryInput, Told, compare, next_date, standing_alerts,
};
use benchdrop::pages::{JobView, job_page};
use benchdrop::respond::{Response, respond};
use benchdrop::shop::{FactSet, Shop};
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

/// One job at the desk where its drops come in.
struct Desk {
    key: JobKey,
    shop_facts: FactSet,
    shop: Shop,
    state: FactSet,
    told: Told,
    sent: Vec<Letter>,
    view: Option<JobView>,
    now: Timestamp,
    next_look: Option<i64>,
}

/// Between two batches of a desk; three and a bit of them are a quarter of an hour.
const BETWEEN: i64 = 4 * 60_000;
const QUARTER: i64 = 15 * 60_000;
const DAY: i64 = 24 * 3_600_000;

impl Desk {
    fn of(job: &str) -> Self {
        let key = JobKey::of(job, SITE).unwrap();
        let (shop_facts, state) = (FactSet::default(), FactSet::default());
        let shop = Shop::default();
        let (now, next_look) = ("2026-03-10T12:00:00Z".parse().unwrap(), None);
        Self { key, shop_facts, shop, state, told: Told::default(), sent: vec![], view: None, now, next_look }
    }

    /// One batch: the job's drops by the shop as it was, then the job again if the shop changed.
    fn take(&mut self, batch: Vec<Arc<Fact>>) {
        self.wait_until(self.now.as_millisecond() + BETWEEN);
        let (of_job, of_shop): (Vec<_>, Vec<_>) = batch.into_iter().partition(|fact| fact.job.is_some());
        self.respond(of_job);
        if !of_shop.is_empty() {
            for fact in of_shop {
                self.shop_facts.insert(fact);
            }
            self.shop = Shop::fold(&self.shop_facts);
            self.respond(vec![]);
        }
    }

    /// Time passes; whenever the desk asked to be looked at, it is.
    fn wait_until(&mut self, then: i64) {
        while let Some(look) = self.next_look.filter(|look| *look <= then) {
            self.now = Timestamp::from_millisecond(look).unwrap();
            self.respond(vec![]);
        }
        self.now = Timestamp::from_millisecond(then).unwrap();
    }

    fn respond(&mut self, new: Vec<Arc<Fact>>) {
        let (state, before) = (std::mem::take(&mut self.state), self.told.clone());
        let response = respond(&self.key, state, &before, &self.shop, new, self.now);
        self.check(&before, &response);
        let Response { state, view, told, letters, next_look, .. } = response;
        (self.state, self.view, self.told, self.next_look) = (state, Some(view), told, next_look);
        self.sent.extend(letters);
    }

    /// A batch that changes something says all of it to everybody concerned, a quarter of an hour after the last letter
    /// at the earliest; any other says nothing.
    fn check(&self, before: &Told, response: &Response) {
        let items = items(&response.view, self.now);
        let now = self.now.as_millisecond();
        let changes = compare(&items, before, now);
        assert!(response.next_look.is_none_or(|look| now < look));
        self.check_mailed_back(before, response);
        let letters: Vec<&Letter> =
            response.letters.iter().filter(|letter| !is_mailed_back(letter)).collect();
        let free_at = before.last.map(|last| last + QUARTER).filter(|free_at| now < *free_at);
        if changes.is_empty() || self.shop.letters_to(Role::Owner).is_empty() || free_at.is_some() {
            assert_eq!(
                letters,
                Vec::<&Letter>::new(),
                "nothing changed, or nobody can be reached, or it gathers"
            );
            assert_eq!((&response.told.items, response.told.letters), (&before.items, before.letters));
            let waits = free_at.filter(|_| !changes.is_empty());
            assert!(waits.is_none_or(|free_at| response.next_look.is_some_and(|look| look <= free_at)));
            return;
        }
        assert_eq!(evidence_told(&response.told), evidence_of(&items));
        let mut concerned = BTreeSet::new();
        for (role, said) in sentences(&changes) {
            for person in self.shop.letters_to(role) {
                let mail = person.mail.as_deref().unwrap();
                concerned.insert(mail);
                let letter = letters.iter().find(|letter| letter.to == mail);
                let letter = letter.unwrap_or_else(|| panic!("no letter to {mail}, who must know: {said:?}"));
                let is_said = said.iter().any(|said| letter.text().contains(said));
                assert!(is_said, "{said:?}\nis not said in\n{}", letter.text());
            }
        }
        let addressed: BTreeSet<&str> = letters.iter().map(|letter| letter.to.as_str()).collect();
        assert_eq!(addressed, concerned);
        assert_eq!(addressed.len(), letters.len(), "one letter a person and batch");
    }

    /// Whatever carries a name is mailed back, once, as soon as anybody can be reached.
    fn check_mailed_back(&self, before: &Told, response: &Response) {
        let standing = &response.view.standing;
        let said = standing.statements.iter().map(|now| now.fact);
        let facts: BTreeSet<String> =
            said.chain(standing.waived.iter().map(|now| now.said.fact)).map(|fact| fact.hex()).collect();
        let reachable = !self.shop.letters_to(Role::Owner).is_empty();
        let new = facts.iter().any(|fact| !before.recorded.contains(fact));
        assert_eq!(response.letters.iter().any(is_mailed_back), reachable && new);
        assert!(!reachable || facts.is_subset(&response.told.recorded));
    }

    fn items(&self) -> Vec<AlertItem> {
        self.view.as_ref().map(|view| items(view, self.now)).unwrap_or_default()
    }

    /// At rest what was told is what is true, and looking again finds nothing to say, however long it is until then.
    fn rest(&mut self) {
        self.wait_until(self.now.as_millisecond() + QUARTER);
        let (letters, waiting) = (self.told.letters, self.items().into_iter().filter(|item| item.waits));
        let waiting: Vec<AlertItem> = waiting.collect();
        self.wait_until(self.now.as_millisecond() + 3 * DAY);
        let reminded: Vec<&String> =
            self.told.items.iter().filter(|(_, told)| told.reminded).map(|(key, _)| key).collect();
        let is_reachable = !self.shop.letters_to(Role::Owner).is_empty();
        for item in waiting.iter().filter(|_| is_reachable) {
            assert!(reminded.contains(&&item.key), "a day later nobody was reminded of {}", item.first);
        }
        // What a date has made news in these days is told and reminded of as well.
        let dated =
            self.items().iter().filter(|item| waiting.iter().all(|then| then.key != item.key)).count();
        assert!(self.told.letters - letters <= (waiting.len() + 2 * dated) as u64, "one reminder each");
        assert_eq!(self.next_look, self.view.as_ref().and_then(|view| next_date(view, self.now)));
        if !self.shop.letters_to(Role::Owner).is_empty() {
            assert_eq!(evidence_told(&self.told), evidence_of(&self.items()));
        }
        let sent = self.sent.len();
        self.respond(vec![]);
        assert_eq!(self.sent.len(), sent, "a batch without a drop is no news");
        let keys: BTreeSet<&str> = self.sent.iter().map(|letter| letter.key.as_str()).collect();
        assert_eq!(keys.len(), self.sent.len(), "two letters under one key would be one letter");
    }
}

fn is_mailed_back(letter: &Letter) -> bool {
    letter.key.starts_with("recorded/")
}

fn items(view: &JobView, now: Timestamp) -> Vec<AlertItem> {
    standing_alerts(view, now)
}

fn evidence_of(items: &[AlertItem]) -> BTreeMap<String, String> {
    let evidence: BTreeMap<String, String> =
        items.iter().map(|item| (item.key.clone(), item.evidence.hex())).collect();
    assert_eq!(evidence.len(), items.len(), "two things to know under one name: one would be told for ever");
    evidence
}

fn evidence_told(told: &Told) -> BTreeMap<String, String> {
    told.items.iter().map(|(key, item)| (key.clone(), item.evidence.clone())).collect()
}

/// What a batch must say, in one of these ways, and whose business each of it is.
fn sentences(changes: &Changes<'_>) -> Vec<(Role, Vec<String>)> {
    let items = changes.new.iter().copied().chain(changes.changed.iter().map(|(item, _)| *item));
    let now = items.chain(changes.still.iter().copied()).map(|item| (item.role, vec![item.first.clone()]));
    let told = |before: &str| vec![format!(": before this you were told: {before}")];
    let changed = changes.changed.iter().map(|(_, before)| (before.role, told(&before.first)));
    let over =
        |before: &str| ["cleared: ", "corrected: now "].map(|word| format!("{before}\n  {word}")).to_vec();
    let cleared = changes.cleared.iter().map(|(_, before)| (before.role, over(&before.first)));
    now.chain(changed).chain(cleared).collect()
}

/// Shuffled, a few twice, in batches.
fn arriving(papers: &[Paper], seed: u64) -> Vec<Vec<Arc<Fact>>> {
    let mut dice = Dice(seed);
    let mut left: Vec<Arc<Fact>> = papers.iter().map(|paper| Arc::clone(&paper.fact)).collect();
    left.extend(papers.iter().filter(|_| dice.below(9) == 0).map(|paper| Arc::clone(&paper.fact)));
    let longest = dice.pick(&[1, 5, 5, 9, 9, 15, 15, 40, 60, 60]);
    let mut batches = vec![vec![]];
    while !left.is_empty() {
        let fact = left.swap_remove(dice.below(left.len()));
        batches.last_mut().unwrap().push(fact);
        if dice.below(longest) == 0 {
            batches.push(vec![]);
        }
    }
    batches
}

fn at_rest(papers: &[Paper], job: &str, seed: u64) -> Desk {
    let mut desk = Desk::of(job);
    arriving(papers, seed).into_iter().for_each(|batch| desk.take(batch));
    desk.rest();
    desk
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
    let quiet = SummaryInput { rows: vec![row], ..SummaryInput::default() };
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
        let (mut shop, mut job) = (FactSet::default(), FactSet::default());
        for fact in drops.iter().map(fact) {
            if fact.job.is_some() {
                job.insert(fact)
            } else {
                shop.insert(fact)
            };
        }
        let key = JobKey::of(support::JOB, SITE).unwrap();
        let now = Timestamp::from_millisecond(told.last.map_or(0, |last| last + QUARTER)).unwrap();
        respond(&key, job, told, &Shop::fold(&shop), Vec::new(), now)
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
