//! A backlog against three yardsticks, side by side on this machine and this disk: `cargo bench --bench backlog`,
//! with `-- --quick` for a look with a tenth of the drops, with `-- --own` without the yardsticks, for a profile.
//!
//! 10,000 measurement drops of 20 readings wait for 200 engines that are checked in; five percent of the surfaces
//! are out of limits. Measured is the time from found to filed, with every verdict reached and every letter queued;
//! the settle time lies before it. Yardsticks: the *bare move* (list, read, hash and rename every file, one fsync of
//! the folder), the *floor* (the careful way file by file: write 2 KiB, fsync, rename, fsync the folder) and the
//! *script* (`script.py`, what a handy person would write in an afternoon). Each runs three times, by turns; the
//! medians count, and only ratios are aims, because machines differ.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a measurement that cannot go on should panic"
)]
#![allow(clippy::print_stdout, reason = "a measurement is read on a terminal")]

#[path = "backlog/drops.rs"]
mod drops;
#[path = "backlog/shop.rs"]
mod shop;
#[path = "backlog/yardsticks.rs"]
mod yardsticks;

use shop::Round;
use std::fs;
use std::path::Path;
use std::time::Duration;

/// That of the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// How often each way is measured.
const ROUNDS: usize = 3;

/// At least this part of the bare move's speed, and so many times the script's and the floor's.
const AIMS: [f64; 3] = [0.5, 10.0, 3.0];

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if !arguments.iter().any(|argument| argument == "--bench") {
        println!("nothing is measured without cargo bench");
        return;
    }
    let asked = |word: &str| arguments.iter().any(|argument| argument == word);
    let count = if asked("--quick") { 1_000 } else { 10_000 };
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("bench-tmp");
    let backlog = drops::backlog(count);
    let bytes: usize = backlog.iter().map(|(_, text)| text.len()).sum();
    println!(
        "{count} drops of {} bytes for {} engines, in {}\n",
        bytes / count,
        drops::JOBS,
        folder.display()
    );

    clear(&folder);
    let (mut bare, mut floor, mut script, mut rounds) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for round in 1..=ROUNDS {
        rounds.push(fresh(&folder, "benchdrop", round, |folder| shop::measure(folder, &backlog)));
        if !asked("--own") {
            bare.push(fresh(&folder, "bare", round, |folder| yardsticks::bare_move(folder, &backlog)));
            floor.push(fresh(&folder, "floor", round, |folder| yardsticks::floor(folder, count)));
            script.extend(fresh(&folder, "script", round, |folder| yardsticks::script(folder, &backlog)));
        }
        println!("round {round} of {ROUNDS} is done");
    }
    clear(&folder);
    let own: Vec<Duration> = rounds.iter().map(Round::whole).collect();
    println!();
    for (name, times) in [("bare move", &bare), ("benchdrop", &own), ("floor", &floor), ("script", &script)] {
        line(name, count, times);
    }
    split(&rounds);
    println!("\nratios of speed, medians of {ROUNDS}");
    for ((name, times), aim) in
        [("bare move", &bare), ("script", &script), ("floor", &floor)].into_iter().zip(AIMS)
    {
        match median(times).zip(median(&own)) {
            Some((theirs, ours)) => {
                let ratio = theirs.as_secs_f64() / ours.as_secs_f64();
                let word = if aim <= ratio { "reached" } else { "missed" };
                println!("  {ratio:6.2} times the {name:9}  aim {aim:4} or more: {word}");
            }
            None => println!("         the {name} was not measured"),
        }
    }
}

/// Runs one measurement in a folder of its own, after the disk has taken what came before. Nothing is deleted
/// between: a file system that has just lost ten thousand files is slow to make new ones.
fn fresh<T>(folder: &Path, name: &str, round: usize, measure: impl FnOnce(&Path) -> T) -> T {
    let own = folder.join(format!("{round}-{name}"));
    fs::create_dir_all(&own).unwrap();
    rustix::fs::sync();
    measure(&own)
}

fn clear(folder: &Path) {
    if folder.exists() {
        fs::remove_dir_all(folder).unwrap();
    }
}

fn line(name: &str, count: usize, times: &[Duration]) {
    let Some(middle) = median(times) else { return };
    let each: Vec<String> = times.iter().map(|time| format!("{:.3}", time.as_secs_f64())).collect();
    let speed = count as f64 / middle.as_secs_f64();
    println!("{name:9} {speed:8.0} files/s   median {:7.3} s of {}", middle.as_secs_f64(), each.join(", "));
}

fn split(rounds: &[Round]) {
    println!("\nof benchdrop's time, medians of {ROUNDS}");
    let whole = median(&rounds.iter().map(Round::whole).collect::<Vec<_>>()).unwrap_or_default();
    type Part = fn(&Round) -> Duration;
    let parts: [(&str, Part); 4] = [
        ("look, claim, decode, find copies", |round| round.claimed),
        ("commit", |round| round.committed),
        ("file away", |round| round.filed),
        ("judge, queue letters", |round| round.judged),
    ];
    for (name, part) in parts {
        let middle = median(&rounds.iter().map(part).collect::<Vec<_>>()).unwrap_or_default();
        let percent = 100.0 * middle.as_secs_f64() / whole.as_secs_f64();
        println!("  {name:32} {:7.3} s  {percent:3.0} %", middle.as_secs_f64());
    }
    println!("  letters queued: {}", rounds.first().map_or(0, |round| round.letters));
}

fn median(times: &[Duration]) -> Option<Duration> {
    let mut sorted = times.to_vec();
    sorted.sort_unstable();
    sorted.get(sorted.len() / 2).copied()
}
