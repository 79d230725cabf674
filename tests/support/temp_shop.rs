//! A shop in a temporary folder with a clock that is turned by hand: papers go in, turns are made until nothing
//! moves, and what became of everything is read from the ledger, the folders, the pages and the letters.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use benchdrop::clock::HandClock;
use benchdrop::config::Config;
use benchdrop::daemon::{House, OnceReport, Setup, Uninterrupted, once, view_of};
use benchdrop::facts::{Digest, JobKey};
use benchdrop::intake::{DROP, lay_out};
use benchdrop::ledger::{ArrivalInfo, Ledger, LetterState};
use benchdrop::pages::{canonical_dump, job_json};
use serde_json::Value;
use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tempfile::TempDir;

/// The configuration of such a shop.
pub const CONFIG: &str = "site = \"main\"\ntimezone = \"Etc/UTC\"\nsummary-at = \"23:00\"\nwatch-folder = \"watch-folder\"\n\
                          ledger = \"ledger/benchdrop.db\"\n[intake]\nwatch = false\n[letters]\n\
                          from = \"benchdrop@shop.example\"\nto = \"folder\"\n";

pub const SETTLE: Duration = Duration::from_secs(1);

/// A shop and, while it is open, its house.
pub struct TempShop {
    dir: TempDir,
    pub clock: Arc<HandClock>,
    house: Option<House>,
}

impl TempShop {
    /// A new shop, opened as the daemon does. Its clock shows noon on 2026-03-10, UTC.
    pub fn new() -> Self {
        Self::at("2026-03-10T12:00:00Z".parse().unwrap())
    }

    /// A new shop whose clock shows this.
    pub fn at(now: jiff::Timestamp) -> Self {
        let dir = tempfile::tempdir().unwrap();
        lay_out(&dir.path().join("watch-folder")).unwrap();
        for folder in ["ledger", "letters"] {
            fs::create_dir(dir.path().join(folder)).unwrap();
        }
        let clock = Arc::new(HandClock::at(now));
        let mut shop = Self { dir, clock, house: None };
        shop.house = Some(shop.open(true));
        shop
    }

    fn open(&self, patient: bool) -> House {
        let config = Config::parse(CONFIG, self.dir.path()).unwrap();
        let clock = Arc::clone(&self.clock) as Arc<dyn benchdrop::clock::Clock>;
        House::open(config, Setup { clock, wake: Arc::new(|| {}), steps: Box::new(Uninterrupted), patient })
            .unwrap()
    }

    /// Ends the house and makes one round as the command `once` does; the shop is open again afterwards.
    pub fn once(&mut self) -> OnceReport {
        self.house.take().unwrap().close(Duration::ZERO).unwrap();
        let clock = Arc::clone(&self.clock);
        let mut pause = |wait: Duration| {
            clock.advance(wait);
            // The sender lives on its own thread and on the machine's time.
            std::thread::sleep(Duration::from_millis(1));
        };
        let report = once(self.open(false), Duration::from_secs(600), &mut pause).unwrap();
        self.house = Some(self.open(true));
        report
    }

    pub fn path(&self, below: &str) -> PathBuf {
        self.dir.path().join(below)
    }

    pub fn drop_folder(&self) -> PathBuf {
        self.path("watch-folder").join(DROP)
    }

    /// Puts a paper into the drop folder.
    pub fn put(&self, name: impl AsRef<OsStr>, bytes: impl AsRef<[u8]>) {
        fs::write(self.drop_folder().join(name.as_ref()), bytes).unwrap();
    }

    /// Puts drops in, under names of their own, and takes everything in. A quarter of an hour has passed since the last,
    /// so that their letters leave at once.
    pub fn take(&mut self, drops: &[Value]) {
        self.turn_after(Duration::from_secs(15 * 60));
        for drop in drops {
            let text = drop.to_string();
            self.put(format!("{}.json", Digest::of(text.as_bytes()).short()), &text);
        }
        self.settle();
    }

    /// One turn after so much time.
    pub fn turn_after(&mut self, wait: Duration) -> benchdrop::daemon::Taken {
        self.clock.advance(wait);
        self.house.as_mut().unwrap().turn().unwrap()
    }

    /// Turns, a settle time apart, until nothing more is taken in; then letters are delivered and pages written.
    pub fn settle(&mut self) {
        let mut idle = 0;
        while idle < 2 {
            let taken = self.turn_after(SETTLE + Duration::from_millis(1));
            let took = taken.filed + taken.copies + taken.returned > 0 || taken.more;
            idle = if took { 0 } else { idle + 1 };
        }
        while self.house.as_ref().unwrap().posting() > 0 || self.letters_waiting() {
            std::thread::sleep(Duration::from_millis(2));
            self.turn_after(Duration::ZERO);
        }
        // Pages are written at most every two seconds.
        self.turn_after(Duration::from_secs(3));
    }

    fn letters_waiting(&self) -> bool {
        self.ledger().letter_counts().unwrap().waiting > 0
    }

    pub fn ledger(&self) -> Ledger {
        Ledger::read_only(&self.path("ledger/benchdrop.db")).unwrap()
    }

    /// Every arrival, oldest first.
    pub fn arrivals(&self) -> Vec<ArrivalInfo> {
        let mut arrivals = self.ledger().arrivals(1_000_000).unwrap();
        arrivals.reverse();
        arrivals
    }

    /// The newest arrival of this name.
    pub fn arrival(&self, name: &str) -> ArrivalInfo {
        let found = self.arrivals().into_iter().rev().find(|arrival| arrival.name == name);
        found.unwrap_or_else(|| panic!("{name} has not arrived"))
    }

    pub fn outcome(&self, name: &str) -> &'static str {
        self.arrival(name).outcome.word()
    }

    pub fn job(&self, number: &str) -> Value {
        let key = JobKey::of(number, "main").unwrap();
        job_json(&view_of(&self.ledger(), &key).unwrap().unwrap_or_else(|| panic!("no job {number}")))
    }

    /// The canonical dump of a job.
    pub fn dump(&self, number: &str) -> String {
        let key = JobKey::of(number, "main").unwrap();
        canonical_dump(&view_of(&self.ledger(), &key).unwrap().unwrap())
    }

    /// A page, by its path below the board's folder.
    pub fn page(&self, name: &str) -> String {
        fs::read_to_string(self.path("watch-folder/board").join(name)).unwrap()
    }

    /// Every page there is.
    pub fn pages(&self) -> BTreeMap<PathBuf, String> {
        let board = self.path("watch-folder/board");
        let mut pages = files_below(&board);
        pages.retain(|path, _| path.extension().is_some_and(|ending| ending == "html"));
        pages.into_iter().map(|(path, bytes)| (path, String::from_utf8(bytes).unwrap())).collect()
    }

    /// Letters as delivered, in the order they were queued.
    pub fn letters(&self) -> Vec<Mail> {
        let ledger = self.ledger();
        let folder = files_below(&self.path("letters"));
        let queued = ledger.letters().unwrap();
        assert!(queued.iter().all(|letter| letter.state == LetterState::Sent), "{queued:?}");
        assert_eq!(queued.len(), folder.len(), "each letter is one file");
        let mails: Vec<Mail> = folder.into_values().map(|bytes| Mail::read(&bytes)).collect();
        let of = |id: &str| mails.iter().find(|mail| mail.header("Message-ID") == id).unwrap().clone();
        queued.iter().map(|letter| of(&letter.message_id)).collect()
    }

    /// Letters about one engine; the daily summary is not among them.
    pub fn alerts(&self) -> Vec<Mail> {
        self.letters().into_iter().filter(|mail| !mail.subject.starts_with("Shop ")).collect()
    }

    /// What still lies in the drop folder, the marker aside.
    pub fn left(&self) -> Vec<PathBuf> {
        let entries = fs::read_dir(self.drop_folder()).unwrap().map(|entry| entry.unwrap().path());
        let mut left: Vec<PathBuf> = entries.filter(|path| !path.ends_with(".benchdrop")).collect();
        left.sort();
        left
    }

    /// Papers in `filed` or `returned`, without their slips: path and bytes.
    pub fn papers(&self, below: &str) -> BTreeMap<PathBuf, Vec<u8>> {
        let mut papers = files_below(&self.path("watch-folder").join(below));
        papers.retain(|path, _| !path.to_string_lossy().ends_with(".slip.txt"));
        papers
    }
}

/// Every regular file below a folder with its bytes; links and pipes are not opened.
pub fn files_below(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let kind = entry.file_type().unwrap();
        if kind.is_dir() {
            found.extend(files_below(&entry.path()));
        } else if kind.is_file() {
            found.insert(entry.path(), fs::read(entry.path()).unwrap());
        }
    }
    found
}

/// A letter as a mail program reads it, by a reader that shares nothing with the one that wrote it.
#[derive(Clone, Debug)]
pub struct Mail {
    pub headers: Vec<(String, String)>,
    pub subject: String,
    pub text: String,
    pub html: String,
}

impl Mail {
    pub fn read(bytes: &[u8]) -> Self {
        let whole = std::str::from_utf8(bytes).expect("letters are 7-bit");
        assert!(whole.is_ascii(), "letters are 7-bit");
        assert!(!whole.replace("\r\n", "").contains(['\r', '\n']), "only whole line ends");
        let (head, body) = whole.split_once("\r\n\r\n").unwrap();
        let headers = headers(head);
        let boundary = value(&headers, "Content-Type").split_once("boundary=\"").unwrap().1;
        let boundary = boundary.split('"').next().unwrap();
        let parts: Vec<&str> = body.split(&format!("--{boundary}")).collect();
        assert_eq!(parts.len(), 4, "two parts between three boundaries");
        assert!(parts[3].starts_with("--"));
        let read = |part: &str, kind: &str| {
            let (head, body) = part.trim_start().split_once("\r\n\r\n").unwrap();
            assert!(value(&self::headers(head), "Content-Type").starts_with(kind), "{head}");
            quoted_printable(body)
        };
        Self {
            subject: encoded_words(value(&headers, "Subject")),
            text: read(parts[1], "text/plain"),
            html: read(parts[2], "text/html"),
            headers,
        }
    }

    pub fn header(&self, name: &str) -> &str {
        value(&self.headers, name)
    }
}

fn headers(head: &str) -> Vec<(String, String)> {
    let unfolded = head.replace("\r\n ", " ").replace("\r\n\t", " ");
    let split = |line: &str| {
        let (name, value) = line.split_once(':').unwrap_or_else(|| panic!("no header: {line}"));
        (name.to_owned(), value.trim().to_owned())
    };
    unfolded.split("\r\n").map(split).collect()
}

fn value<'a>(headers: &'a [(String, String)], name: &str) -> &'a str {
    let found: Vec<_> = headers.iter().filter(|(known, _)| known == name).collect();
    assert_eq!(found.len(), 1, "{name} stands once in {headers:?}");
    &found[0].1
}

fn quoted_printable(text: &str) -> String {
    let joined = text.replace("=\r\n", "").replace("\r\n", "\n");
    String::from_utf8(unescape(&joined, '=')).unwrap()
}

fn unescape(text: &str, mark: char) -> Vec<u8> {
    let (mut out, mut rest) = (Vec::new(), text);
    while let Some((before, after)) = rest.split_once(mark) {
        out.extend_from_slice(before.as_bytes());
        out.push(u8::from_str_radix(&after[..2], 16).unwrap());
        rest = &after[2..];
    }
    out.extend_from_slice(rest.as_bytes());
    out
}

/// RFC 2047 words in base64, as far as our letters have them; everything else stays as it is.
fn encoded_words(text: &str) -> String {
    let decode = |word: &str| {
        let Some(inner) = word.strip_prefix("=?utf-8?b?").and_then(|w| w.strip_suffix("?=")) else {
            return (word.to_owned(), false);
        };
        const ALPHABET: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
        let six =
            |byte: u8| u32::try_from(ALPHABET.iter().position(|known| *known == byte).unwrap()).unwrap();
        let mut bytes = Vec::new();
        for four in inner.trim_end_matches('=').as_bytes().chunks(4) {
            let bits = four.iter().fold(0, |bits, byte| bits << 6 | six(*byte)) << (6 * (4 - four.len()));
            bytes.extend_from_slice(&bits.to_be_bytes()[1..four.len()]);
        }
        (String::from_utf8(bytes).unwrap(), true)
    };
    let mut out = String::new();
    let mut last_encoded = true;
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let (word, encoded) = decode(word);
        // White space between two encoded words is not text.
        if !(out.is_empty() || encoded && last_encoded) {
            out.push(' ');
        }
        out.push_str(&word);
        last_encoded = encoded;
    }
    out
}
