//! Power cuts: the real service on a disk in an image file, under a load of drops; it is stopped, the image as the disk
//! has it at that moment is copied, and life goes on with the copy. Whatever somebody outside had seen done before the
//! cut is done after it. Guards promises 1, 2 and 8.
//!
//! *Acknowledged* is what an onlooker saw before the cut: a row that another connection could read in the ledger, a
//! paper under `filed` or `returned`, a letter that had left. What a sender had synced is ours too from then on; what it
//! had only written may be gone with the power, and is dropped once more.
//!
//! 4 cuts, or 20 in the long form. The control shows that the cuts see a loss: rows that were acknowledged out of a
//! SQLite that does not sync each commit (`synchronous = NORMAL`) do get lost by the same cut.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/disk.rs"]
mod disk;
#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::facts::Digest;
use disk::Disk;
use process::{Chance, Shop, some_days_ago};
use rusqlite::{Connection, OpenFlags};
use script::{Paper, engine, rounds};
use state::State;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::os::unix::fs::{FileExt as _, symlink};
use std::path::Path;
use std::process::Command;
use std::sync::{
    Mutex,
    atomic::{AtomicBool, Ordering},
};
use std::thread::sleep;
use std::time::Duration;

const MIB: u64 = 96;

fn cuts() -> usize {
    if gate::is_long() { 20 } else { 4 }
}

/// A shop whose ledger and watch folder lie on a disk of their own. Configuration, log and letters do not: what has left
/// the house does not come back with the power.
fn shop_on_a_disk() -> (Shop, Disk) {
    let shop = Shop::empty();
    let disk = Disk::make(&shop.dir().join("image"), MIB, &shop.dir().join("disk"));
    for folder in ["ledger", "watch-folder"] {
        let (here, there) = (shop.dir().join(folder), shop.dir().join("disk").join(folder));
        state::copy(&here, &there);
        fs::remove_dir_all(&here).unwrap();
        symlink(there, here).unwrap();
    }
    assert!(shop.once().status.success());
    rustix::fs::sync();
    (shop, disk)
}

/// Each file by its name: what was in it when it was seen.
type Files = BTreeMap<String, Vec<u8>>;

/// What somebody outside has seen done.
#[derive(Default)]
struct Seen {
    /// Arrivals by their number: where the paper lies, and its digest.
    arrivals: BTreeMap<i64, (String, Vec<u8>)>,
    shelf: BTreeSet<String>,
    letters: Files,
}

fn arrivals_after(ledger: &Connection, seq: i64) -> BTreeMap<i64, (String, Vec<u8>)> {
    let mut rows = ledger.prepare_cached("SELECT seq, place, hash FROM arrivals WHERE seq > ?1").unwrap();
    let rows = rows.query_map([seq], |row| Ok((row.get(0)?, (row.get(1)?, row.get(2)?)))).unwrap();
    rows.map(Result::unwrap).collect()
}

impl Seen {
    fn look(&mut self, shop: &Shop, ledger: &Connection) {
        let last = self.arrivals.keys().next_back().copied().unwrap_or(0);
        self.arrivals.extend(arrivals_after(ledger, last));
        self.shelf.extend(shelf(shop));
        for entry in fs::read_dir(shop.dir().join("letters")).unwrap().map(Result::unwrap) {
            let name = entry.file_name().into_string().unwrap();
            if name.ends_with(".eml") && !self.letters.contains_key(&name) {
                self.letters.insert(name, fs::read(entry.path()).unwrap());
            }
        }
    }

    /// How much of it is not so any more.
    fn lost(&self, shop: &Shop, ledger: &Connection) -> Vec<String> {
        let now = arrivals_after(ledger, 0);
        let places: BTreeSet<&str> = now.values().map(|(place, _)| place.as_str()).collect();
        let rows = self.arrivals.iter().filter(|(seq, arrival)| now.get(seq) != Some(arrival));
        let papers = self.shelf.iter().filter(|place| !places.contains(place.as_str()));
        let letters = self.letters.iter().filter(|(name, mail)| {
            let there = fs::read(shop.dir().join("letters").join(name));
            !there.is_ok_and(|there| there == **mail)
        });
        let mut lost: Vec<String> = rows.map(|row| format!("{row:?}")).collect();
        lost.extend(papers.cloned());
        lost.extend(letters.map(|(name, _)| format!("other bytes: {name}")));
        lost
    }
}

/// Papers that lie in filed and returned, by their place.
fn shelf(shop: &Shop) -> Vec<String> {
    let mut places = Vec::new();
    for top in ["filed", "returned"] {
        for day in fs::read_dir(shop.watch_folder().join(top)).unwrap().map(Result::unwrap) {
            let day_name = day.file_name().into_string().unwrap();
            for paper in fs::read_dir(day.path()).unwrap().map(Result::unwrap) {
                let name = paper.file_name().into_string().unwrap();
                if !name.starts_with('.') && !name.ends_with(".slip.txt") {
                    places.push(format!("{top}/{day_name}/{name}"));
                }
            }
        }
    }
    places
}

fn read_ledger(shop: &Shop) -> Connection {
    let path = shop.dir().join("ledger/benchdrop.db");
    let ledger = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
    ledger.busy_timeout(Duration::from_secs(20)).unwrap();
    ledger
}

/// A paper that somebody has dropped, and whether its sender saw to it that the disk had it.
struct Dropped {
    paper: Paper,
    synced: bool,
}

/// Drops papers one by one until it is told to stop; gives back those that it has not come to.
fn drop_in(
    shop: &Shop,
    papers: Vec<Paper>,
    mut chance: Chance,
    dropped: &Mutex<Vec<Dropped>>,
    stop: &AtomicBool,
) -> Vec<Paper> {
    let folder = shop.watch_folder().join("drop");
    // In half of the lives nobody syncs: a sync takes with it to the disk what others had only written.
    let careful = chance.between(0, 2) == 0;
    let mut papers = papers.into_iter();
    while !stop.load(Ordering::Acquire) {
        let Some(paper) = papers.next() else { break };
        let path = folder.join(&paper.name);
        let synced = careful && chance.between(0, 3) == 0;
        fs::write(&path, &paper.bytes).unwrap();
        // It may have been taken away already; then it is in the ledger.
        if let (true, Ok(file)) = (synced, File::open(&path)) {
            file.sync_all().unwrap();
        }
        if synced {
            File::open(&folder).unwrap().sync_all().unwrap();
        }
        dropped.lock().unwrap().push(Dropped { paper, synced });
        sleep(Duration::from_millis(chance.between(2, 30)));
    }
    papers.collect()
}

/// One shop over all its lives.
struct Lives {
    shop: Shop,
    chance: Chance,
    seen: Seen,
    dropped: Mutex<Vec<Dropped>>,
    /// Rows, papers and letters that somebody had seen and that a cut took.
    lost: Vec<String>,
}

impl Lives {
    /// Papers come, and at some moment the power goes. Gives the papers that nobody has come to.
    fn live(&mut self, papers: Vec<Paper>, disk: Disk) -> (Vec<Paper>, Disk) {
        const LOOKS: &str = "watching the drop folder";
        let Self { shop, chance, seen, dropped, .. } = self;
        let looks = shop.says(LOOKS);
        let (stop, own_chance) = (AtomicBool::new(false), Chance(chance.between(0, u64::MAX)));
        let service = shop.run();
        let left = std::thread::scope(|scope| {
            let dropper = scope.spawn(|| drop_in(shop, papers, own_chance, dropped, &stop));
            shop.wait_until("the first look", || shop.says(LOOKS) > looks);
            let ledger = read_ledger(shop);
            let (arrived, shelved) = (seen.arrivals.len(), seen.shelf.len());
            let (moment, wait) = (chance.between(0, 3), Duration::from_millis(chance.between(20, 1_000)));
            let clock = SystemClock::new();
            loop {
                seen.look(shop, &ledger);
                let is_time = match moment {
                    0 => clock.since_start() > wait,
                    1 => seen.arrivals.len() > arrived + 5,
                    _ => seen.shelf.len() > shelved + 5,
                };
                if is_time || clock.since_start() > Duration::from_secs(3) {
                    break;
                }
            }
            service.freeze();
            stop.store(true, Ordering::Release);
            dropper.join().unwrap()
        });
        (left, disk.cut(|| service.kill()))
    }

    /// After the cut, before the next start: what was seen is so still, what a sender had synced lies there or is in the
    /// ledger. What its sender had only written and the power has taken is dropped once more.
    fn look_after_the_cut(&mut self) {
        let Self { shop, seen, dropped, lost, .. } = self;
        let report = shop.ledger().verify(&mut |_, _| {}).unwrap();
        assert!(report.is_sound(), "{report:?}");
        lost.extend(seen.lost(shop, &read_ledger(shop)));
        let mut known = BTreeSet::new();
        for arrival in shop.ledger().arrivals(100_000).unwrap() {
            known.insert((arrival.name, arrival.hash));
        }
        for Dropped { paper, synced } in dropped.get_mut().unwrap().iter() {
            let hash = Some(Digest::of(&paper.bytes));
            if known.contains(&(paper.name.clone(), hash)) || known.contains(&(paper.name.clone(), None)) {
                continue;
            }
            let lies_there = fs::read(shop.watch_folder().join("drop").join(&paper.name));
            if !lies_there.is_ok_and(|bytes| bytes == paper.bytes) {
                if *synced {
                    lost.push(format!("synced by its sender: {}", paper.name));
                }
                shop.drop_in(std::slice::from_ref(paper));
            }
        }
    }
}

#[test]
#[ignore = "needs root and loop devices; tests/run runs it"]
fn what_was_acknowledged_before_a_power_cut_is_there_after_it() {
    if !disk::is_possible("power cuts") {
        return;
    }
    let mut chance = Chance(20_261_126);
    let begin = some_days_ago();
    let mut papers: Vec<Paper> = rounds(begin).into_iter().flatten().collect();
    papers.extend((1..cuts() * 8).flat_map(|number| engine(begin, &format!("25-{number:03}"))));
    chance.shuffle(&mut papers);
    let n_papers = papers.len();
    let calm = Shop::empty();
    assert!(calm.once().status.success());
    calm.drop_in(&papers);
    assert_eq!(calm.once().status.code(), Some(10));
    let expected = State::of(calm.dir(), "undisturbed");

    let (shop, mut disk) = shop_on_a_disk();
    let mut lives =
        Lives { shop, chance, seen: Seen::default(), dropped: Mutex::default(), lost: Vec::new() };
    for _ in 0..cuts() {
        (papers, disk) = lives.live(papers, disk);
        lives.look_after_the_cut();
        assert_eq!(lives.lost, Vec::<String>::new(), "a power cut took what was acknowledged");
    }
    let Lives { shop, seen, lost, .. } = lives;
    let acknowledged = seen.arrivals.len();
    shop.drop_in(&papers);
    let service = shop.run();
    shop.wait_for_arrivals(n_papers);
    shop.wait_for_rest();
    shop.ends_cleanly(service);
    let state = State::of(shop.dir(), &format!("{} power cuts", cuts()));
    assert_eq!(state.without_batches(), expected.without_batches());
    let panics = shop.says("panicked at");
    assert_eq!(panics, 0, "{}", shop.log());
    let counts = [
        ("papers", n_papers),
        ("cuts", cuts()),
        ("acknowledged before a cut", acknowledged),
        ("letters", state.letters.len()),
    ];
    let counts = counts.map(|(what, n)| (what, n as u64));
    gate::report("power cuts", &counts, lost.len() as u64, 0, panics as u64);
    drop(disk);
}

/// Where the control writes, and how: the path and the value of `synchronous`.
const CONTROL: &str = "BENCHDROP_CONTROL";

/// Not a test of its own: the writer of the control, which the test below starts and cuts. It appends rows as a ledger
/// does and acknowledges each, in a file on another disk, once its commit has returned.
#[test]
#[ignore = "the writer of the control"]
fn writer_of_the_control() {
    let Some(settings) = gate::variable(CONTROL) else { return };
    let [dir, synchronous] = settings.split('|').collect::<Vec<_>>().try_into().unwrap();
    let acknowledged = File::create(Path::new(dir).join("acknowledged")).unwrap();
    let rows = Connection::open(Path::new(dir).join("disk/rows.db")).unwrap();
    rows.query_row("PRAGMA journal_mode = WAL", [], |_| Ok(())).unwrap();
    rows.pragma_update(None, "synchronous", synchronous).unwrap();
    rows.execute_batch("CREATE TABLE IF NOT EXISTS rows (n INTEGER PRIMARY KEY, bytes BLOB)").unwrap();
    for n in 1_u64.. {
        rows.execute("INSERT INTO rows (bytes) VALUES (zeroblob(2000))", []).unwrap();
        acknowledged.write_all_at(&n.to_be_bytes(), 0).unwrap();
    }
}

/// One round of the control: did the cut take rows that had been acknowledged?
fn loses(synchronous: &str, chance: &mut Chance) -> bool {
    let shop = Shop::empty();
    let n_acknowledged = || {
        let bytes = fs::read(shop.dir().join("acknowledged")).unwrap_or_default();
        bytes.try_into().map_or(0, u64::from_be_bytes)
    };
    let disk = Disk::make(&shop.dir().join("image"), MIB, &shop.dir().join("disk"));
    let mut writer = Command::new(std::env::current_exe().unwrap());
    writer.args(["--exact", "writer_of_the_control", "--ignored"]);
    writer.env(CONTROL, format!("{}|{synchronous}", shop.dir().display()));
    let writer = shop.start(writer);
    shop.wait_until("the first rows", || n_acknowledged() > 10);
    sleep(Duration::from_millis(chance.between(10, 400)));
    writer.freeze();
    let before = n_acknowledged();
    let _disk = disk.cut(|| writer.kill());
    let rows = Connection::open(shop.dir().join("disk/rows.db")).unwrap();
    let after = rows.query_row("SELECT count(*) FROM rows", [], |row| row.get::<_, i64>(0));
    u64::try_from(after.unwrap_or(0)).unwrap() < before
}

#[test]
#[ignore = "needs root and loop devices; tests/run runs it"]
fn the_cuts_see_a_loss_where_commits_are_not_synced() {
    if !disk::is_possible("power cuts, the control") {
        return;
    }
    let mut chance = Chance(20_261_127);
    let synced = (0..cuts()).filter(|_| loses("FULL", &mut chance)).count();
    assert_eq!(synced, 0, "FULL loses nothing, so what loses is the setting");
    // About every second round loses.
    let until_loss = (0..20).position(|_| loses("NORMAL", &mut chance));
    let rounds = until_loss.expect("no cut saw a loss: the gate proves nothing") + 1;
    let counts =
        [("cuts with each commit synced", cuts() as u64), ("without, until a row was lost", rounds as u64)];
    gate::report("power cuts, the control", &counts, 0, 0, 0);
}
