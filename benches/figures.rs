//! The figures the house holds itself to, against their aims: `cargo bench --bench figures` (hours of a shop's life in
//! minutes, and the first time some more to make its ledgers), with `-- --quick` for a look with small ledgers.
//!
//! Ledgers of 1,000 to 1,000,000 drops, the largest with 5,000 engines of which 200 are open, are made once and kept in
//! the target folder (`figures/shop.rs`). In a copy of each, single drops and a backlog go to ten open engines that have
//! as many statements in every ledger, so that only the ledger's size differs. Settle times are left out. Floor writes
//! and bare sends are measured by turns with what they are compared to. Start and memory are those of the real program,
//! memory as the kernel counts it. The backlog against its yardsticks is a bench of its own (`backlog.rs`).
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a measurement that cannot go on should panic"
)]
#![allow(clippy::print_stdout, reason = "a measurement is read on a terminal")]
#![allow(dead_code, reason = "the backlog uses the rest of its drops")]

#[path = "figures/curve.rs"]
mod curve;
#[path = "backlog/drops.rs"]
mod drops;
#[path = "figures/house.rs"]
mod house;
#[path = "figures/mail.rs"]
mod mail;
#[path = "figures/service.rs"]
mod service;
#[path = "figures/shop.rs"]
mod shop;

use benchdrop::clock::SystemClock;
use curve::{Line, grouped, svg};
use house::{Work, floor_write};
use mail::{Relay, bare_sends};
use service::{Memory, Service, at_rest, is_empty, megabytes};
use shop::Shop;
use std::fs;
use std::path::Path;
use std::time::Duration;

/// That of the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Engines that measured drops go to.
const ENGINES: usize = 10;

/// Starts that are measured.
const STARTS: usize = 5;

/// How much is measured.
struct Size {
    ledgers: &'static [usize],
    singles: usize,
    news: usize,
    backlog: usize,
    /// Papers of the backlog after which memory is looked at; they go to every open engine.
    storm: usize,
}

const WHOLE: Size = Size {
    ledgers: &[1_000, 10_000, 100_000, 1_000_000],
    singles: 300,
    news: 100,
    backlog: 2_000,
    storm: 10_000,
};
const QUICK: Size =
    Size { ledgers: &[1_000, 10_000, 30_000], singles: 60, news: 20, backlog: 500, storm: 1_000 };

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    if !arguments.iter().any(|argument| argument == "--bench") {
        println!("nothing is measured without cargo bench");
        return;
    }
    let is_quick = arguments.iter().any(|argument| argument == "--quick");
    let size = if is_quick { QUICK } else { WHOLE };
    let kept = Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("bench-kept");
    let work = Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("bench-figures");
    fs::create_dir_all(&kept).unwrap();

    let mut growth = Vec::new();
    for drops in size.ledgers {
        let shop = Shop::of(&kept, *drops);
        shop.copy(&work);
        growth.push(cost(&work, *drops, &size));
    }
    let largest = Shop::of(&kept, size.ledgers[size.ledgers.len() - 1]);
    largest.copy(&work);
    let letters = letters(&work, &size);
    largest.copy(&work);
    let life = life(&work, &largest, &size);
    fs::remove_dir_all(&work).unwrap();

    let table = table(&largest, &growth, &letters, &life);
    println!("\n{table}");
    let drawing = svg(&lines(&growth));
    let place = if is_quick { kept.join("growth.svg") } else { Path::new("benches/growth.svg").to_owned() };
    fs::write(&place, drawing).unwrap();
    println!("drawn in {}", place.display());
}

/// What drops cost in one ledger.
struct Cost {
    drops: usize,
    single: Times,
    floor: Times,
    backlog: Duration,
}

/// Single drops, each with a floor write beside it, then a backlog.
fn cost(folder: &Path, drops: usize, size: &Size) -> Cost {
    let clock = SystemClock::new();
    let mut work = Work::open(folder, clock, None);
    let floor = folder.join("floor");
    fs::create_dir(&floor).unwrap();
    let (mut single, mut floors) = (Vec::new(), Vec::new());
    for index in 0..size.singles {
        single.push(work.take(&[Shop::next(index % ENGINES, index / ENGINES)]));
        work.rest();
        floors.push(floor_write(&floor, clock, index));
    }
    let papers: Vec<String> = (0..size.backlog)
        .map(|index| Shop::next(index % ENGINES, size.singles / ENGINES + index / ENGINES))
        .collect();
    let backlog = work.take(&papers) / u32::try_from(size.backlog).unwrap();
    work.rest();
    work.close();
    let cost = Cost { drops, single: Times(single), floor: Times(floors), backlog };
    println!(
        "{:>9} drops: single {}, floor {}, in a backlog {} each",
        grouped(drops),
        cost.single,
        cost.floor,
        words(backlog)
    );
    cost
}

/// Drops that are news, to the mail server's acceptance, and bare sends beside them.
struct Letters {
    news: Times,
    bare: Times,
}

fn letters(folder: &Path, size: &Size) -> Letters {
    let clock = SystemClock::new();
    let relay = Relay::start(clock);
    let mut work = Work::open(folder, clock, Some(relay.port));
    let mut letters = Letters { news: Times(Vec::new()), bare: Times(Vec::new()) };
    // What the shop has to tell before has left; the reminders of a day later are still to come.
    work.pass(Duration::from_secs(3 * 3_600));
    work.pass(Duration::from_secs(3_600));
    for engine in 0..size.news {
        // Nobody gets more than some letters an hour; the next leaves when there is room.
        work.pass(Duration::from_secs(400));
        letters.news.0.push(work.tell(Shop::news(engine), &relay));
        letters.bare.0.extend(bare_sends(&relay, clock, 3, 8_000));
    }
    work.close();
    println!("with an alert {}, bare send {}", letters.news, letters.bare);
    letters
}

/// The real program.
struct Life {
    starts: Times,
    started: Memory,
    printed: Memory,
    stormed: Memory,
}

fn life(folder: &Path, shop: &Shop, size: &Size) -> Life {
    let drop = folder.join("watch-folder/drop");
    let (mut starts, mut started) = (Vec::new(), Memory::default());
    for start in 0..STARTS {
        fs::write(drop.join(format!("start-{start}.json")), Shop::next(0, start)).unwrap();
        rustix::fs::sync();
        let service = Service::start(folder, None);
        starts.push(service.wait_until(|| is_empty(folder), Duration::from_secs(600)));
        started = service.memory();
        service.wait_until(|| at_rest(folder), Duration::from_secs(600));
        service.end();
    }
    let service = Service::start(folder, None);
    let rest = |what: &str| {
        service.wait_until(|| at_rest(folder), Duration::from_secs(3_600));
        let memory = service.memory();
        println!("{what}: {memory}");
        memory
    };
    for engine in 1..shop.open {
        fs::write(drop.join(format!("page-{engine}.json")), Shop::next(engine, 0)).unwrap();
    }
    let printed = rest("after the pages of every open engine");
    for index in 0..size.storm {
        let text = Shop::next(index % shop.open, STARTS + 1 + index / shop.open);
        fs::write(drop.join(format!("storm-{index}.json")), text).unwrap();
    }
    let stormed = rest("after a backlog");
    service.end();
    Life { starts: Times(starts), started, printed, stormed }
}

/// Measured times.
struct Times(Vec<Duration>);

impl Times {
    /// The time that so many of a hundred do not exceed.
    fn percentile(&self, percent: usize) -> Duration {
        let mut sorted = self.0.clone();
        sorted.sort_unstable();
        sorted[(sorted.len() * percent / 100).min(sorted.len() - 1)]
    }
}

impl std::fmt::Display for Times {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} (99 of 100 within {})", words(self.percentile(50)), words(self.percentile(99)))
    }
}

fn words(time: Duration) -> String {
    format!("{:.2} ms", time.as_secs_f64() * 1_000.0)
}

fn ratio(time: Duration, other: Duration) -> f64 {
    time.as_secs_f64() / other.as_secs_f64()
}

fn lines(growth: &[Cost]) -> [Line; 2] {
    let against = |of: fn(&Cost) -> Duration| {
        growth.iter().map(|cost| (cost.drops, ratio(of(cost), of(&growth[0])))).collect()
    };
    [
        Line {
            name: "singly",
            colour: "#1f5f8b",
            aim: 1.3,
            points: against(|cost| cost.single.percentile(50)),
        },
        Line { name: "in a backlog", colour: "#b5562b", aim: 2.0, points: against(|cost| cost.backlog) },
    ]
}

/// A line of the table.
fn row(figure: &str, measured: &str, aim: &str, is_reached: bool) -> String {
    format!("| {figure} | {measured} | {aim} | {} |\n", if is_reached { "reached" } else { "missed" })
}

/// The figures against their aims, as the README has them.
fn table(shop: &Shop, growth: &[Cost], letters: &Letters, life: &Life) -> String {
    let mut table = "| figure | measured | aim | |\n|---|---|---|---|\n".to_owned();
    let (small, large) = (&growth[0], &growth[growth.len() - 1]);
    for cost in [small, large] {
        let (single, floor) = (cost.single.percentile(99), cost.floor.percentile(99));
        table += &row(
            &format!("one drop in an idle shop, {} drops before it, 99 of 100 within", grouped(cost.drops)),
            &format!("{}, {:.1} floor writes of {}", words(single), ratio(single, floor), words(floor)),
            "10 floor writes",
            ratio(single, floor) <= 10.0,
        );
    }
    let (news, bare) = (letters.news.percentile(99), letters.bare.percentile(99));
    let most = large.single.percentile(99) + 2 * bare;
    table += &row(
        "the same with an alert, to the mail server's acceptance",
        &words(news),
        &format!("that and 2 bare sends of {}: {}", words(bare), words(most)),
        news <= most,
    );
    let against = format!("{} drops against {}", grouped(large.drops), grouped(small.drops));
    let now = [large.single.percentile(50), large.backlog];
    for (line, cost) in lines(growth).iter().zip(now) {
        let times = line.points[line.points.len() - 1].1;
        let figure = format!("cost of a drop {}, {against}", line.name);
        let measured = format!("{times:.2} times ({})", words(cost));
        table += &row(&figure, &measured, &format!("{} times", line.aim), times <= line.aim);
    }
    let (start, worst) = (life.starts.percentile(50), life.starts.percentile(99));
    let figure = format!("start with {} drops to the first drop taken", grouped(large.drops));
    let measured = format!("{} (at most {})", words(start), words(worst));
    table += &row(&figure, &measured, "1 s", worst <= Duration::from_secs(1));
    let engines =
        format!("{} drops, {} engines, {} open", grouped(large.drops), grouped(shop.engines), shop.open);
    let moments = [
        ("after the start", life.started),
        ("after pages are written", life.printed),
        ("after a backlog", life.stormed),
    ];
    for (when, memory) in moments {
        let measured = format!("{} MB, at most {} MB", megabytes(memory.now), megabytes(memory.most));
        table +=
            &row(&format!("memory, {engines}, {when}"), &measured, "150 MB", megabytes(memory.most) < 150);
    }
    table
}
