//! The build record as it was issued: its bytes are kept with what caused it, once, and never change. Guards promises 2, 3
//! and 10.
//!
//! The hash is what another program, `sha256sum`, says of the file that lies on the board.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "issued/anew.rs"]
mod anew;
#[path = "support/digits.rs"]
mod digits;
#[path = "support/rebuild.rs"]
mod rebuild;
mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use benchdrop::config::Config;
use benchdrop::facts::{Digest, Fact, JobKey};
use benchdrop::ledger::Ledger;
use benchdrop::pages::{Issued, build_record, customer_page};
use benchdrop::respond::{issue, view};
use benchdrop::shop::{FactSet, RULE_SET, Shop};
use jiff::{Timestamp, ToSpan};
use rebuild::{Cut, JOB, Named, Plan, rebuild};
use rustix::fs::{CWD, FileType, Mode};
use serde_json::{Value, json};
use std::{fs, path::Path, process::Command, sync::Arc};
use support::{SITE, fact};
use temp_shop::{CONFIG, TempShop, files_below};

const KD3: Plan = Plan {
    sheet: include_str!("../schemas/examples/sheet.v1/pass/kd-3.json"),
    scope: "short block",
    cuts: &[Cut { feature: "main journal", operation: "grind", size: "0.25 under", order: Some("WO-1") }],
};

/// Some days after the last drop of a rebuild.
const NOW: &str = "2026-03-20T12:00:00Z";

fn drops() -> Vec<Value> {
    rebuild(&KD3).into_iter().map(|(_, drop)| drop).collect()
}

fn shop() -> TempShop {
    TempShop::at(NOW.parse().unwrap())
}

/// A statement about the engine so many minutes after it was handed over.
fn after(minutes: i64, kind: &str, body: &Value) -> Value {
    let drops = rebuild(&KD3);
    let end: Timestamp = drops.last().unwrap().1["recorded"].as_str().unwrap().parse().unwrap();
    let recorded = end.checked_add(minutes.minutes()).unwrap().to_string();
    json!({"kind": kind, "version": 1, "job": JOB, "who": "RH", "recorded": recorded, "body": body})
}

fn hours(minutes: i64) -> Value {
    after(minutes, "account", &json!({"hours": {"hours": "2.00", "what": "valve lash at the customer's"}}))
}

/// A crack that somebody sees once it is delivered.
fn crack() -> Value {
    let found =
        json!({"part": "block", "defect": "crack", "severity": 5, "problem": "weeps at the freeze plug"});
    after(20, "finding", &json!({"findings": [found]}))
}

/// Kind, version and hash of every paper issued, as a ledger has them.
fn issued_in(ledger: &Ledger) -> Vec<(String, u32, String)> {
    let key = JobKey::of(JOB, ledger.site()).unwrap().to_string();
    let issued = ledger.issued_of(&key).unwrap().into_iter();
    issued.map(|info| (info.paper, info.version, info.hash.hex())).collect()
}

fn issued(shop: &TempShop) -> Vec<(String, u32, String)> {
    issued_in(&shop.ledger())
}

fn versions(shop: &TempShop) -> u32 {
    issued(shop).iter().map(|(_, version, _)| *version).max().unwrap_or(0)
}

fn folder(shop: &TempShop) -> std::path::PathBuf {
    let all = shop.path("watch-folder/board/issued");
    fs::read_dir(&all).unwrap().next().unwrap().unwrap().path()
}

fn sha256sum(path: &Path) -> String {
    let output = Command::new("sha256sum").arg(path).output().unwrap();
    String::from_utf8(output.stdout).unwrap().split(' ').next().unwrap().to_owned()
}

/// Every paper lies on the board with the bytes the ledger has, and pages and JSON name its hash.
fn names_its_hash(shop: &TempShop) {
    let job = shop.job(JOB);
    let listed = job["issued"].as_array().unwrap();
    assert_eq!(listed.len(), issued(shop).len());
    for paper in listed {
        let place = shop.path("watch-folder").join(paper["file"].as_str().unwrap());
        let hash = sha256sum(&place);
        assert_eq!(paper["sha256"], hash.as_str());
        assert!(issued(shop).iter().any(|(_, _, kept)| *kept == hash));
        let slug = place.parent().unwrap().file_name().unwrap().to_str().unwrap().to_owned();
        for page in ["jobs", "records"] {
            assert!(shop.page(&format!("{page}/{slug}.html")).contains(&hash), "{page} names {hash}");
        }
        let text = fs::read_to_string(&place).unwrap();
        assert!(!text.contains("href=") && !text.contains("<nav"), "it stands on its own");
        assert!(text.contains("Rowan Holt"));
        let is_record = paper["paper"] == "build record";
        assert_eq!(text.contains(&format!("rule set {RULE_SET}")), is_record);
        if is_record {
            let next = place.with_file_name(format!("customer-page-{}.html", paper["version"]));
            assert!(
                fs::read_to_string(next).unwrap().contains(&hash),
                "the customer's page names its record"
            );
        }
    }
    assert!(shop.ledger().verify(&mut |_, _| {}).unwrap().is_sound());
}

#[test]
fn a_record_is_issued_at_delivery_once() {
    let (mut shop, drops) = (shop(), drops());
    let (last, rest) = drops.split_last().unwrap();
    shop.take(rest);
    assert_eq!(versions(&shop), 0, "nothing is issued before it is delivered");
    assert_eq!(shop.job(JOB)["issued"], json!([]));
    shop.take(std::slice::from_ref(last));
    assert_eq!(versions(&shop), 1);
    names_its_hash(&shop);
    // Said again in other bytes, and looked at again a day later.
    shop.put("again.json", format!("{last:#}"));
    shop.settle();
    shop.turn_after(std::time::Duration::from_secs(100_000));
    shop.settle();
    assert_eq!(versions(&shop), 1);
}

/// What changes the record later is another version; the first stays as it is, on the board and in the ledger. An engine
/// that is open again gets none until nothing is open.
#[test]
fn a_later_statement_issues_another_version_and_rewrites_none() {
    let mut shop = shop();
    shop.take(&drops());
    let first = issued(&shop);
    let kept = files_below(&folder(&shop));
    shop.take(&[hours(10)]);
    assert_eq!(versions(&shop), 2);
    assert!(issued(&shop).starts_with(&first), "what was issued stays");
    let now = files_below(&folder(&shop));
    assert!(kept.iter().all(|(path, bytes)| now[path] == *bytes));
    let second = fs::read_to_string(folder(&shop).join("build-record-2.html")).unwrap();
    assert!(second.contains(&first[0].2), "the second names the first");
    assert!(
        second.contains(&format!("Recorded since version 1: {} by RH, ", fact(&hours(10)).body.kind())),
        "{second}"
    );
    names_its_hash(&shop);

    shop.take(&[crack()]);
    assert_eq!(versions(&shop), 2, "nothing is issued of an engine that is open");
    let slug = folder(&shop).file_name().unwrap().to_str().unwrap().to_owned();
    assert!(shop.page(&format!("jobs/{slug}.html")).contains("open again since version 2"));
    assert!(shop.page("board.html").contains("delivered, and open again since"));
    let id = fact(&crack()).id.hex();
    let void = after(30, "withdrawal", &json!({"drop": id, "why": "a drip from the hose above"}));
    shop.take(&[void]);
    assert_eq!(versions(&shop), 3);
    // Somebody writes into a paper that lies on the board: it is laid out again as it was issued.
    fs::write(folder(&shop).join("build-record-1.html"), "better numbers").unwrap();
    shop.take(&[hours(50)]);
    assert_eq!(versions(&shop), 4);
    names_its_hash(&shop);
}

/// Promise 3: the same statements come to the same versions, however they were split into batches.
#[test]
fn batches_make_no_difference() {
    let mut single = shop();
    single.take(&drops());
    for minutes in [10, 25] {
        single.take(&[hours(minutes)]);
    }
    let mut at_once = shop();
    let mut all = vec![hours(25), hours(10)];
    all.extend(drops().into_iter().rev());
    at_once.take(&all);
    assert_eq!(versions(&single), 3);
    assert_eq!(issued(&single), issued(&at_once));
}

/// What arrives after a version was handed over is in the next; what was handed over stays without it.
#[test]
fn what_comes_late_is_in_a_further_version() {
    let mut shop = shop();
    shop.take(&drops());
    let first = issued(&shop);
    shop.take(&[hours(-3)]);
    assert_eq!(versions(&shop), 2);
    assert!(issued(&shop).starts_with(&first));
    let second = fs::read_to_string(folder(&shop).join("build-record-2.html")).unwrap();
    assert!(second.contains("Nothing that counts was recorded since version 1"), "{second}");
    shop.take(&[hours(-3), hours(10)]);
    assert_eq!(versions(&shop), 3);
}

/// A later release of the rules leaves what was issued as it is: the same statements are not issued again, and new ones
/// are issued under the new rules as a further version.
#[test]
fn other_rules_issue_nothing_of_the_same_statements() {
    let named: Vec<Named> = rebuild(&KD3);
    let facts: Vec<Arc<Fact>> = named.iter().map(|(_, drop)| fact(drop)).collect();
    let key = JobKey::of(JOB, SITE).unwrap();
    let fold = |facts: &[Arc<Fact>]| {
        let (mut shop, mut job) = (FactSet::default(), FactSet::default());
        for fact in facts {
            if fact.job.is_some() {
                job.insert(Arc::clone(fact))
            } else {
                shop.insert(Arc::clone(fact))
            };
        }
        (job, Shop::fold(&shop))
    };
    let (set, shop) = fold(&facts);
    let now = view(&key, &set, &shop);
    let first = issue(&key, &set, &shop, &now, &[]);
    let other = Digest::of(b"as an earlier release wrote it");
    let earlier: Vec<Issued> = first
        .iter()
        .map(|(issued, _)| Issued { rule_set: RULE_SET - 1, content: other, hash: other, ..issued.clone() })
        .collect();
    assert!(!earlier.is_empty() && issue(&key, &set, &shop, &now, &earlier).is_empty());

    let more: Vec<Arc<Fact>> = facts.iter().cloned().chain([fact(&hours(10))]).collect();
    let (set, shop) = fold(&more);
    let next = issue(&key, &set, &shop, &view(&key, &set, &shop), &earlier);
    assert!(next.iter().all(|(issued, _)| issued.version == 2 && issued.rule_set == RULE_SET));
    assert!(
        String::from_utf8_lossy(&next[0].1).contains(&other.hex()),
        "it names what it takes the place of"
    );
}

/// What the customer's page says of this rebuild: what was done and fitted, in plain words, and what they need to know.
#[test]
fn the_customer_page_answers_the_customer() {
    let mut shop = shop();
    let mut drops = drops();
    let rules = drops.iter_mut().find(|drop| drop["kind"] == "house-rules").unwrap();
    rules["body"]["customer"] = json!({"ask": "Rowan Holt, telephone 555 0117", "break-in": ["Look for leaks."],
        "warranty": ["Twelve months <on our work>."]});
    shop.take(&drops);
    let page = fs::read_to_string(folder(&shop).join("customer-page-1.html")).unwrap();
    let record = issued(&shop)[0].2.clone();
    for words in [
        "Main journal: grind to 0.25 under",
        "main shell 0.25 under",
        "inside limits",
        "The old parts were offered back to you.",
        // The sheet's own words, and the shop's.
        "No more than two thirds of full speed for the first 20 hours.",
        "Look for leaks.",
        "Twelve months &lt;on our work&gt;.",
        "Ask: Rowan Holt, telephone 555 0117. Name job 24-017.",
        &record,
    ] {
        assert!(page.contains(words), "{words:?} is missing in {page}");
    }
    // The shop's own business stays in the shop.
    for words in ["1650", "rack A", "TW-1", "LM,"] {
        assert!(!page.contains(words), "{words:?} is none of theirs");
    }
}

/// Whoever buys the engine next must not take the casting number of a scrapped piece for that of the one inside.
#[test]
fn what_took_the_place_of_what_came_in_is_said() {
    let page = |drops: &[Value]| {
        let (mut shop, mut job) = (FactSet::default(), FactSet::default());
        for fact in drops.iter().map(fact) {
            if fact.job.is_some() {
                job.insert(fact)
            } else {
                shop.insert(fact)
            };
        }
        let view = view(&JobKey::of(JOB, SITE).unwrap(), &job, &Shop::fold(&shop));
        (customer_page(&view), build_record(&view))
    };
    let (customer, record) = ("Others in the place of yours, not new: rod (1)", "rod 2");
    let said = |(page, paper): (String, String)| {
        let others =
            paper.split("Others than came in").nth(1).map(|rest| rest.split("</section>").next().unwrap());
        (page.contains(customer), others.is_some_and(|rows| rows.contains(record) && rows.contains("used")))
    };
    let mut drops = drops();
    assert_eq!(said(page(&drops)), (false, false));
    let body = json!({"part": "rod", "position": "2", "event": "replaced", "state": "used", "unit": "mm"});
    drops.push(after(1, "part", &body));
    assert_eq!(said(page(&drops)), (true, true));
}

/// A pipe among the papers is waited for by nobody, and a link is not followed.
#[test]
fn what_lies_among_the_papers_is_not_followed() {
    let mut shop = shop();
    shop.take(&drops());
    let folder = folder(&shop);
    let [customer, record] = ["customer-page-1.html", "build-record-1.html"].map(|name| folder.join(name));
    let before = [&customer, &record].map(|path| fs::read(path).unwrap());
    let outside = shop.path("outside");
    fs::write(&outside, "theirs").unwrap();
    fs::remove_file(&customer).unwrap();
    fs::remove_file(&record).unwrap();
    rustix::fs::mknodat(CWD, &customer, FileType::Fifo, Mode::from(0o644), 0).unwrap();
    std::os::unix::fs::symlink(&outside, folder.join(".build-record-1.html.part")).unwrap();
    shop.take(&[hours(10)]);
    assert_eq!(fs::read_to_string(&outside).unwrap(), "theirs");
    assert!(
        fs::symlink_metadata(&record).unwrap().is_file()
            && fs::symlink_metadata(&customer).unwrap().is_file()
    );
    assert_eq!(
        [&customer, &record].map(|path| fs::read(path).unwrap()),
        before,
        "laid out again as they were"
    );
}
