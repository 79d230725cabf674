//! What a shop comes to: everything that must be the same after a crash, read from its folder with the daemon ended.
//!
//! [`State::of`] also holds what must be true of any shop at rest, whatever happened to it before: promises 1, 2, 8
//! and 10 as far as files and ledger show them.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use benchdrop::daemon::view_of;
use benchdrop::facts::{Digest, JobKey};
use benchdrop::ledger::{Ledger, LetterState, Outcome};
use benchdrop::notices::{Told, compare, standing_alerts};
use benchdrop::pages::{canonical_dump, job_page};
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The state of one shop at rest.
#[derive(Debug, PartialEq, Eq)]
pub struct State {
    /// The canonical dump of each job.
    pub jobs: BTreeMap<String, String>,
    /// Digests of every accepted drop.
    pub accepted: BTreeSet<String>,
    /// Outcome, name and digest of each arrival, sorted.
    pub arrivals: Vec<String>,
    /// `filed` or `returned`, and the digest of each paper that lies there, sorted.
    pub shelf: Vec<String>,
    /// Each letter that left the house, without its date, by its Message-ID.
    pub letters: BTreeMap<String, String>,
}

impl State {
    /// The state of the shop in this folder, whose letters go to `letters/`. `when` is said where something is wrong.
    pub fn of(shop: &Path, when: &str) -> Self {
        let look = std::panic::AssertUnwindSafe(|| Self::at_rest(shop));
        std::panic::catch_unwind(look).unwrap_or_else(|_| panic!("not as it should be: {when}"))
    }

    fn at_rest(shop: &Path) -> Self {
        let ledger = Ledger::read_only(&shop.join("ledger/benchdrop.db")).unwrap();
        let report = ledger.verify(&mut |_, _| {}).unwrap();
        assert!(report.is_sound(), "{report:?}");
        let jobs = jobs(shop, &ledger);
        let mut accepted = BTreeSet::new();
        for key in jobs.keys().map(String::as_str).chain([""]) {
            accepted.extend(ledger.drops_of(key).unwrap().iter().map(|drop| drop.hash.hex()));
        }
        Self {
            arrivals: arrivals(shop, &ledger),
            letters: letters(shop, &ledger),
            shelf: shelf(shop),
            jobs,
            accepted,
        }
    }

    /// What stays the same however the papers fell into batches: not who of two equals came first, not the letters.
    pub fn without_batches(&self) -> (&BTreeMap<String, String>, &BTreeSet<String>, &[String], usize) {
        (&self.jobs, &self.accepted, &self.shelf, self.arrivals.len())
    }
}

/// Promises 3 and 8 job by job: what people were told is what is true, and the page on the board says it.
fn jobs(shop: &Path, ledger: &Ledger) -> BTreeMap<String, String> {
    assert_eq!(ledger.stale_jobs("", 10).unwrap(), Vec::<String>::new());
    let mut dumps = BTreeMap::new();
    for row in ledger.job_rows().unwrap() {
        let key = JobKey::of(&row.job, ledger.site()).unwrap();
        let view = view_of(ledger, &key).unwrap().unwrap();
        let told: Told = serde_json::from_str(&row.told).unwrap();
        let items = standing_alerts(&view, Timestamp::UNIX_EPOCH);
        let changes = compare(&items, &told, i64::MIN);
        // News that gathers has a time to leave: a quarter of an hour after the last letter.
        let gathers = row.next_look.is_some() && row.next_look <= told.last.map(|last| last + 15 * 60_000);
        assert!(gathers || changes.is_empty(), "what was told of {} is not what holds: {changes:?}", row.job);
        let page = shop.join("watch-folder/board/jobs").join(format!("{}.html", key.slug()));
        let page = fs::read_to_string(&page).unwrap_or_else(|error| panic!("{}: {error}", page.display()));
        assert!(page == job_page(&view), "the page of {} is not up to date", row.job);
        dumps.insert(row.job, canonical_dump(&view));
    }
    dumps
}

/// Promise 1: each arrival lies where the ledger says, with the bytes it says, and each returned one with its slip.
fn arrivals(shop: &Path, ledger: &Ledger) -> Vec<String> {
    let mut lines = Vec::new();
    for arrival in ledger.arrivals(100_000).unwrap() {
        let path = shop.join("watch-folder").join(&arrival.place);
        let bytes = fs::read(&path).unwrap_or_else(|error| panic!("{arrival:?}: {error}"));
        let hash = arrival.hash.map_or_else(|| "unread".to_owned(), |hash| hash.hex());
        assert!(arrival.hash.is_none_or(|hash| hash == Digest::of(&bytes)), "other bytes: {arrival:?}");
        assert_eq!(bytes.len() as u64, arrival.size, "{arrival:?}");
        if arrival.outcome == Outcome::Returned {
            let slip = fs::read_to_string(format!("{}.slip.txt", path.display())).unwrap();
            assert_eq!(slip, arrival.slip);
        }
        lines.push(format!("{} {} {hash}", arrival.outcome.word(), arrival.name));
    }
    lines.sort();
    lines
}

/// Every paper that lies in filed or returned; nothing may be left in drop, and no slip without its paper.
fn shelf(shop: &Path) -> Vec<String> {
    let mut papers = Vec::new();
    for top in ["filed", "returned"] {
        for file in files(&shop.join("watch-folder").join(top)) {
            match file.to_string_lossy().strip_suffix(".slip.txt") {
                Some(paper) => {
                    assert!(Path::new(paper).exists(), "a slip without its paper: {}", file.display())
                }
                None => papers.push(format!("{top} {}", Digest::of(&fs::read(&file).unwrap()).hex())),
            }
        }
    }
    assert_eq!(left_in_drop(shop), Vec::<PathBuf>::new());
    papers.sort();
    papers
}

/// Papers that lie in the drop folder still; none while it is away.
pub fn left_in_drop(shop: &Path) -> Vec<PathBuf> {
    let drop = shop.join("watch-folder/drop");
    let mut left = if drop.exists() { files(&drop) } else { Vec::new() };
    left.retain(|path| path.file_name().unwrap() != ".benchdrop");
    left
}

/// Every visible file below a folder, and hidden ones too: nothing under way may be left behind.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        if entry.file_type().unwrap().is_dir() {
            found.extend(files(&entry.path()));
        } else {
            found.push(entry.path());
        }
    }
    found.sort();
    found
}

/// Promise 8: the letters in the folder are the letters in the ledger, each sent; one that came twice is the same to
/// the last byte.
fn letters(shop: &Path, ledger: &Ledger) -> BTreeMap<String, String> {
    let mut whole = BTreeMap::new();
    for file in files(&shop.join("letters")) {
        let mail = delivered(&file);
        let (id, _) = letter_of(&mail);
        if let Some(before) = whole.insert(id, mail.clone()) {
            assert_eq!(before, mail, "two letters of one Message-ID");
        }
    }
    let found: BTreeMap<String, String> = whole.into_values().map(|mail| letter_of(&mail)).collect();
    let queued = ledger.letters().unwrap();
    for letter in &queued {
        assert_eq!(letter.state, LetterState::Sent, "{letter:?}");
        assert!(found.contains_key(&letter.message_id), "not in the folder: {letter:?}");
    }
    let ids: BTreeSet<&str> = queued.iter().map(|letter| letter.message_id.as_str()).collect();
    assert_eq!(ids.len(), queued.len(), "two letters of one Message-ID");
    assert_eq!(found.len(), queued.len(), "a letter that the ledger does not know");
    found
}

/// A letter as it was delivered, without the line that the relay of the tests writes in front.
pub fn delivered(file: &Path) -> String {
    let text = String::from_utf8(fs::read(file).unwrap()).unwrap();
    match text.split_once("\r\n") {
        Some((first, rest)) if first.starts_with("X-Peer-To: ") => rest.to_owned(),
        _ => text,
    }
}

/// The Message-ID of a letter, and the letter without its date.
pub fn letter_of(text: &str) -> (String, String) {
    let header = |name: &str| {
        let line = text.lines().find(|line| line.starts_with(name));
        line.unwrap_or_else(|| panic!("no {name} in {text}")).to_owned()
    };
    let id = header("Message-ID: ").replace("Message-ID: ", "");
    (id, text.replace(&format!("{}\r\n", header("Date: ")), ""))
}

/// Copies a folder with everything in it.
pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}
