//! Every reader against spoilt bytes: drops as JSON and as tables (UTF-8 and UTF-16), spec sheets, the configuration,
//! names of files, job numbers, damaged ledgers. From the examples of `schemas/` and the kept papers in
//! `tests/data/fuzz`, spoilt from a seed that a failure prints. Nothing panics; what is refused has a slip that says why;
//! what is taken reads as the same statement again and can be folded and printed on every page. Pictures go through the door of drops by themselves, and embedded.
//!
//! The short form takes 30,000 inputs, the long form a million. Guards promise 1 where the dropping is at its worst.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "says its seeds and what it measured")]

#[path = "support/chance.rs"]
mod chance;
#[path = "support/gate.rs"]
mod gate;

#[path = "fuzz/mutate.rs"]
mod mutate;
#[path = "fuzz/pictures.rs"]
mod pictures;
#[path = "fuzz/readers.rs"]
mod readers;

use chance::Chance;
use mutate::{Dice, spoil, tokens_of};
use readers::{READERS, Reader, World};
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::Duration;

/// A reader that needs longer for one input hangs. Far more than the slowest needs.
const HANGS: Duration = Duration::from_secs(10);
/// More memory than the readers may ever have had, in KiB: the largest input is 1 MiB and nothing is kept.
const MOST_MEMORY: u64 = 700 * 1024;

/// A kept paper.
struct Paper {
    name: String,
    bytes: Vec<u8>,
}

fn papers_below(folder: &Path, papers: &mut Vec<Paper>) {
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            papers_below(&path, papers);
        } else {
            papers.push(Paper { name: path.display().to_string(), bytes: fs::read(&path).unwrap() });
        }
    }
}

/// What the reader gets at first.
fn corpus(reader: &Reader) -> Vec<Paper> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut papers = Vec::new();
    for folder in reader.corpus {
        papers_below(&root.join(folder), &mut papers);
    }
    papers.retain(|paper| (reader.is_for)(&paper.name, &paper.bytes));
    if reader.as_utf16 {
        for paper in &mut papers {
            paper.bytes = utf16(&paper.bytes);
        }
    }
    assert!(!papers.is_empty(), "{}: an empty corpus", reader.name);
    papers
}

fn utf16(bytes: &[u8]) -> Vec<u8> {
    let text = format!("\u{feff}{}", String::from_utf8_lossy(bytes));
    text.encode_utf16().flat_map(u16::to_le_bytes).collect()
}

/// The most memory this process has had, in KiB, as the kernel counts it.
fn most_memory() -> u64 {
    let status = fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
    line.trim().trim_end_matches(" kB").parse().unwrap()
}

#[derive(Default)]
struct Counts {
    inputs: u64,
    taken: u64,
    panics: u64,
    longest: Duration,
    of_longest: String,
}

/// One input; a panic is shown with what to do to see it again.
fn one(reader: &Reader, world: &World, bytes: &[u8], from: &str, counts: &mut Counts) {
    use benchdrop::clock::{Clock as _, SystemClock};
    let clock = SystemClock::new();
    let taken = catch_unwind(AssertUnwindSafe(|| (reader.read)(world, bytes)));
    let took = clock.since_start();
    counts.inputs += 1;
    match taken {
        Ok(taken) => counts.taken += u64::from(taken),
        Err(_) => {
            counts.panics += 1;
            let kept = Path::new(env!("CARGO_TARGET_TMPDIR"))
                .join(format!("benchdrop-fuzz-{}-{}", reader.name, counts.panics));
            fs::write(&kept, bytes).unwrap();
            eprintln!("{}: {from}: the input is in {}", reader.name, kept.display());
            assert!(counts.panics < 20, "too many to go on");
        }
    }
    if took > counts.longest {
        (counts.longest, counts.of_longest) = (took, from.to_owned());
    }
    if took >= HANGS {
        let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).join("hangs");
        fs::write(&kept, bytes).unwrap();
        panic!("{}: {from}: {took:?}; the input is in {}", reader.name, kept.display());
    }
}

fn fuzz(reader: &Reader, world: &World, inputs: u64, seed: u64) -> Counts {
    let papers = corpus(reader);
    let tokens: Vec<Vec<u8>> = papers
        .iter()
        .flat_map(|paper| tokens_of(&paper.bytes).into_iter().map(|range| paper.bytes[range].to_vec()))
        .collect();
    let mut counts = Counts::default();
    for paper in &papers {
        one(reader, world, &paper.bytes, &paper.name, &mut counts);
    }
    while counts.inputs < inputs {
        let n = counts.inputs;
        let mut dice = Dice(Chance(seed.wrapping_add(n.wrapping_mul(0x2545_f491_4f6c_dd1d))));
        let paper = &papers[dice.below(papers.len())];
        let other = &papers[dice.below(papers.len())];
        let mut bytes = paper.bytes.clone();
        spoil(&mut bytes, &mut dice, &other.bytes, &tokens);
        one(reader, world, &bytes, &format!("input {n} of seed {seed}, from {}", paper.name), &mut counts);
    }
    println!(
        "{}: {} inputs, {} taken, the longest {:?} ({})",
        reader.name, counts.inputs, counts.taken, counts.longest, counts.of_longest
    );
    counts
}

#[test]
fn every_reader() {
    let (inputs, seed) = if gate::is_long() { (1_000_000, 20_261_126) } else { (30_000, 4) };
    let seed = gate::variable("BENCHDROP_SEED").map_or(seed, |text| text.parse().unwrap());
    let world = World::new();
    let before = most_memory();
    let parts: u64 = READERS.iter().map(|reader| reader.part).sum();
    let (mut all, mut taken) = (0, 0);
    let mut panics = 0;
    for reader in &READERS {
        let counts = fuzz(reader, &world, inputs * reader.part / parts, seed);
        assert!(counts.taken > 0, "{}: none was taken, so nothing behind the door was tried", reader.name);
        assert!(counts.taken < counts.inputs, "{}: none was refused", reader.name);
        (all, taken, panics) = (all + counts.inputs, taken + counts.taken, panics + counts.panics);
    }
    let most = most_memory();
    println!("memory: {} MiB before, {} MiB at most", before / 1024, most / 1024);
    assert_eq!(panics, 0, "see above");
    assert!(most < MOST_MEMORY, "{most} KiB");
    let counts =
        [("readers", READERS.len() as u64), ("inputs", all), ("taken", taken), ("MiB at most", most / 1024)];
    gate::report("fuzzing of every reader", &counts, 0, 0, panics);
}
