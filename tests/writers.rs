//! Senders that write as they please, and a clock that is set both ways: bit by bit with pauses around the settle time,
//! the length first, a placeholder beside a download, over one another, from two machines at once, with times set back.
//! Each paper is taken in whole and once. Guards promises 1 and 2.
//!
//! Generated: 40 mornings, or 2,000 in the long form. What an onlooker who sees only the finished papers would expect
//! is all that is compared with.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/chance.rs"]
mod chance;
#[path = "support/gate.rs"]
mod gate;
mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use benchdrop::clock::Clock as _;
use benchdrop::facts::{Digest, JobKey};
use benchdrop::ledger::Outcome;
use chance::Chance;
use jiff::ToSpan as _;
use std::collections::BTreeSet;
use std::fs::{self, File, OpenOptions};
use std::io::{Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use support::*;
use temp_shop::TempShop;

/// One stroke of a sender, and how long it then rests, in milliseconds.
type Stroke = (u64, Box<dyn FnMut()>);

/// The strokes of a sender, last first, and the papers that were there whole at the end of them.
struct Sender {
    strokes: Vec<Stroke>,
    due: u64,
    /// What has to arrive.
    sure: Vec<Digest>,
    /// What lay there whole for a while and was written over by its own sender: ours if it had settled.
    maybe: Vec<Digest>,
}

/// A set of readings that no other is; as JSON, or as a table whose last row says so.
fn content(number: u64, as_table: bool) -> Vec<u8> {
    let value = format!("2.2{:03}", 480 + number % 20);
    if as_table {
        let text = format!(
            "kind;measurements\njob;24-017\nwho;LM\nrecorded;2026-03-02T09:15:{:02}+01:00\ngauge;MIC-23\nunit;in\n\
             condition;as received\nlast-row;end\n\nfeature;position;station;direction;value;# set\n\
             main journal;3;front;X;{value};{number}\nend\n",
            number % 60
        );
        return text.into_bytes();
    }
    let mut drop = measured(20, "as received", "MIC-23", journal("main journal", "3", [value.as_str(); 4]));
    drop["device"] = format!("tablet {number}").into();
    format!("{drop:#}\n").into_bytes()
}

fn append(path: &Path, bytes: &[u8]) {
    OpenOptions::new().create(true).append(true).open(path).unwrap().write_all(bytes).unwrap();
}

/// Copy tools give a file the time it had at its source.
fn set_back(path: &Path) {
    let year_ago = SystemTime::UNIX_EPOCH + Duration::from_secs(1_700_000_000);
    // It may be taken in already.
    if let Ok(file) = File::options().append(true).open(path) {
        file.set_modified(year_ago).unwrap();
    }
}

/// Rests around the settle time of a second: well below, a hair below, at, a hair above, well above.
fn rest(chance: &mut Chance) -> u64 {
    [50, 400, 990, 1_000, 1_010, 1_700, 4_000][usize::try_from(chance.between(0, 7)).unwrap()]
}

fn sender(folder: &Path, number: u64, chance: &mut Chance) -> Sender {
    let way = chance.between(0, 8);
    // A table that is cut at a row's end looks whole without its last row; with it only the bit-by-bit writer differs.
    let as_table = way == 0 && chance.between(0, 2) == 0;
    let bytes = content(number, as_table);
    let path = folder.join(format!("set {number}.{}", if as_table { "csv" } else { "json" }));
    let under_way = folder.join(format!("set {number}.part"));
    let (mut sure, mut maybe) = (vec![Digest::of(&bytes)], Vec::new());
    let mut strokes = match way {
        0 | 1 => bit_by_bit(&path, &bytes, way == 1, chance),
        2 => length_first(&path, bytes, chance),
        3 => placeholder(path, under_way, &bytes, chance),
        4 => vec![(0, renamed(under_way, path, bytes))],
        5 | 6 => {
            // Written over by another whole paper of the same name: by its sender, or by a second machine.
            let (before, first) = (content(number + 100_000, false), path.clone());
            maybe.push(Digest::of(&before));
            let over: Box<dyn FnMut()> =
                if way == 6 { renamed(under_way, path, bytes) } else { written(path, bytes) };
            vec![(rest(chance), written(first, before)), (rest(chance), over)]
        }
        _ => {
            // A conflict copy beside the first.
            let other = content(number + 200_000, false);
            sure.push(Digest::of(&other));
            let copy = folder.join(format!("set {number}.sync-conflict-20260310-101500-ABCDEFG.json"));
            vec![(rest(chance), written(path, bytes)), (rest(chance), written(copy, other))]
        }
    };
    strokes.reverse();
    Sender { strokes, due: chance.between(0, 3_000), sure, maybe }
}

fn written(path: PathBuf, bytes: Vec<u8>) -> Box<dyn FnMut()> {
    Box::new(move || fs::write(&path, &bytes).unwrap())
}

fn renamed(under_way: PathBuf, path: PathBuf, bytes: Vec<u8>) -> Box<dyn FnMut()> {
    Box::new(move || {
        fs::write(&under_way, &bytes).unwrap();
        fs::rename(&under_way, &path).unwrap();
    })
}

/// Into the final name, a part at a time.
fn bit_by_bit(path: &Path, bytes: &[u8], back: bool, chance: &mut Chance) -> Vec<Stroke> {
    let parts = 2 + usize::try_from(chance.between(0, 6)).unwrap();
    let mut strokes: Vec<Stroke> = Vec::new();
    for part in bytes.chunks(bytes.len().div_ceil(parts)) {
        let (path, part) = (path.to_owned(), part.to_vec());
        let stroke = move || {
            append(&path, &part);
            if back {
                set_back(&path);
            }
        };
        strokes.push((rest(chance), Box::new(stroke)));
    }
    strokes
}

/// The length first, the content over it.
fn length_first(path: &Path, bytes: Vec<u8>, chance: &mut Chance) -> Vec<Stroke> {
    let (first, second, long) = (path.to_owned(), path.to_owned(), bytes.len() as u64);
    let fill = move || {
        let mut file = OpenOptions::new().write(true).open(&second).unwrap();
        file.seek(SeekFrom::Start(0)).unwrap();
        file.write_all(&bytes).unwrap();
    };
    vec![
        (rest(chance), Box::new(move || File::create(&first).unwrap().set_len(long).unwrap())),
        (rest(chance), Box::new(fill)),
    ]
}

/// A browser's placeholder under the final name, the download beside it.
fn placeholder(path: PathBuf, under_way: PathBuf, bytes: &[u8], chance: &mut Chance) -> Vec<Stroke> {
    let (first, part) = (path.clone(), under_way.clone());
    let (begin, end) = bytes.split_at(bytes.len() / 2);
    let (begin, end) = (begin.to_vec(), end.to_vec());
    let start = move || {
        File::create(&first).unwrap();
        append(&part, &begin);
    };
    let finish = move || {
        append(&under_way, &end);
        fs::rename(&under_way, &path).unwrap();
    };
    vec![(rest(chance), Box::new(start)), (rest(chance), Box::new(finish))]
}

/// One morning: some senders at once, turns at odd times, the wall clock set now and then. Gives how many papers.
fn morning(seed: u64) -> usize {
    let mut chance = Chance(seed);
    let mut shop = TempShop::new();
    shop.take(&shop_with_engine());
    let folder = shop.drop_folder();
    let mut senders: Vec<Sender> =
        (0..6).map(|number| sender(&folder, seed * 10 + number, &mut chance)).collect();
    let mut now = 0;
    while senders.iter().any(|sender| !sender.strokes.is_empty()) {
        for sender in &mut senders {
            while sender.due <= now
                && let Some((rest, mut stroke)) = sender.strokes.pop()
            {
                stroke();
                sender.due = now.max(sender.due) + rest;
            }
        }
        let step = 20 + chance.between(0, 600);
        now += step;
        if chance.between(0, 12) == 0 {
            // A time server, or a person: a day and more, both ways.
            let hours = i64::try_from(chance.between(0, 72)).unwrap() - 36;
            let set = shop.clock.now().checked_add(hours.hours()).unwrap();
            shop.clock.set(set.max("2026-03-05T00:00:00Z".parse().unwrap()));
        }
        shop.turn_after(Duration::from_millis(step));
    }
    // What was cut short for long enough is given back; nothing here is, but the wait for it must end.
    for _ in 0..12 {
        shop.turn_after(Duration::from_secs(6));
    }
    // Filed papers are looked at again after a minute: one that its sender wrote on comes in again.
    shop.turn_after(Duration::from_secs(61));
    shop.settle();
    let arrivals = shop.arrivals();
    let filed: Vec<Digest> =
        arrivals.iter().filter(|a| a.outcome == Outcome::Filed).filter_map(|a| a.hash).collect();
    let once: BTreeSet<Digest> = filed.iter().copied().collect();
    assert_eq!(filed.len(), once.len(), "seed {seed}: filed twice");
    let returned: Vec<_> = arrivals.iter().filter(|a| a.outcome == Outcome::Returned).collect();
    assert!(returned.is_empty(), "seed {seed}: {returned:#?}");
    assert!(shop.left().is_empty(), "seed {seed}: {:?}", shop.left());
    let ledger = shop.ledger();
    let mut papers = 0;
    for sender in &senders {
        for sure in &sender.sure {
            assert!(ledger.bytes_of(sure).unwrap().is_some(), "seed {seed}: lost {}", sure.hex());
            papers += 1;
        }
    }
    let known: BTreeSet<Digest> =
        senders.iter().flat_map(|s| s.sure.iter().chain(&s.maybe)).copied().collect();
    let own = filed.len() - filed.iter().filter(|hash| known.contains(hash)).count();
    assert_eq!(own, shop_with_engine().len(), "seed {seed}: something else was taken in");
    papers
}

#[test]
fn every_sender_is_taken_in_whole_and_once() {
    let mornings = if gate::is_long() { 2_000 } else { 40 };
    let papers: usize = (0..mornings).map(morning).sum();
    gate::report(
        "writers of every sort, clocks set both ways",
        &[("mornings", mornings), ("papers", papers as u64)],
        0,
        0,
        0,
    );
}

/// In a backlog papers are read while those before them are written. What its sender changes or takes back before its
/// turn counts as it is then.
#[test]
fn what_changes_before_its_turn_counts_as_it_is_then() {
    const SETTLE: Duration = Duration::from_millis(1_001);
    let mut shop = TempShop::new();
    shop.take(&shop_with_engine());
    let put = |shop: &TempShop, number: u32, size: &str| {
        shop.put(
            format!("{number:03}.json"),
            measured(
                number + 20,
                "as received",
                "MIC",
                journal("main journal", "3", [size, "2.2491", "2.2492", "2.2491"]),
            )
            .to_string(),
        );
    };
    for number in 0..200 {
        put(&shop, number, "2.2492");
    }
    shop.turn_after(Duration::ZERO);
    shop.turn_after(SETTLE);
    assert!((100..200).contains(&shop.left().len()), "the first of several batches is in");
    for number in 60..140 {
        if shop.drop_folder().join(format!("{number:03}.json")).exists() {
            put(&shop, number, "2.2493");
        }
    }
    for number in 140..200 {
        fs::remove_file(shop.drop_folder().join(format!("{number:03}.json"))).unwrap();
    }
    let changed = shop.left().len();
    assert!(changed > 50, "{changed}");
    shop.settle();
    let bytes: Vec<String> =
        shop.papers("filed").into_values().map(|bytes| String::from_utf8(bytes).unwrap()).collect();
    assert_eq!(bytes.iter().filter(|text| text.contains("2.2493")).count(), changed);
    let kept = shop.arrivals().into_iter().filter(|arrival| arrival.kind.as_deref() == Some("measurements"));
    assert_eq!(kept.count(), 140);
    let ledger = shop.ledger();
    let in_ledger = ledger.drops_of(&JobKey::of(JOB, SITE).unwrap().to_string()).unwrap();
    let is_new = |bytes: &[u8]| String::from_utf8_lossy(bytes).contains("2.2493");
    assert_eq!(
        in_ledger.iter().filter(|drop| is_new(&drop.bytes)).count(),
        changed,
        "what lay there is what was read"
    );
}
