//! A full disk: the ledger, or the ledger and the watch folder, on a small disk that is filled and freed at random
//! moments while papers come. The service lives on, keeps everything, tells the owner once past the ledger, and takes in
//! what waits once there is room, without a restart. Guards promises 1, 2 and 8.
//!
//! 4 times full, or 40 in the long form.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

#[path = "support/device.rs"]
mod device;
#[path = "support/disk.rs"]
mod disk;
#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/relay.rs"]
mod relay;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use device::{Device, listening, with_drop_point};
use disk::Disk;
use process::{Chance, Shop, some_days_ago};
use relay::Relay;
use script::{Paper, engine, rounds, shop_and_engine};
use state::State;
use std::fs::{self, File};
use std::io::Write as _;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

const SAYS: &str = "the disk is full";
const SUBJECT: &str = "Subject: The disk is full since ";

fn times_full() -> usize {
    if gate::is_long() { 40 } else { 4 }
}

/// A shop with these folders on a small disk, which knows its people and sends to the relay.
fn shop_on_a_small_disk(folders: &[&str], relay: &Relay, begin: jiff::Timestamp) -> (Shop, Disk) {
    let shop = Shop::empty();
    shop.send_to(relay.port);
    let disk = Disk::make(&shop.dir().join("image"), 24, &shop.dir().join("disk"));
    for folder in folders {
        let (here, there) = (shop.dir().join(folder), shop.dir().join("disk").join(folder));
        state::copy(&here, &there);
        fs::remove_dir_all(&here).unwrap();
        symlink(there, here).unwrap();
    }
    shop.drop_in(&shop_and_engine(begin));
    assert!(shop.once().status.success());
    (shop, disk)
}

/// Drops a paper as a careful sender does: under a name that is never input, then renamed. Tried again while there is no
/// room.
fn drop_in(folder: &Path, paper: &Paper) {
    let under_way = folder.join(format!("{}.part", paper.name));
    while fs::write(&under_way, &paper.bytes).is_err() {
        fs::remove_file(&under_way).unwrap_or_default();
        sleep(Duration::from_millis(50));
    }
    while fs::rename(&under_way, folder.join(&paper.name)).is_err() {
        sleep(Duration::from_millis(50));
    }
}

/// Fills the disk to its last byte.
fn fill(disk: &Path) {
    let mut filler = File::create(disk.join("filler")).unwrap();
    for piece in [1 << 20, 4096, 1] {
        while filler.write_all(&vec![1; piece]).is_ok() {}
    }
    filler.sync_all().unwrap_or_default();
}

/// Fills the disk and frees it, again and again. Freed when the service has said that it is full and some time more, or
/// after a while in which it did not need any room.
fn fill_and_free(shop: &Shop, mut chance: Chance, done: &AtomicBool) -> usize {
    let disk = shop.dir().join("disk");
    let mut said = 0;
    for _ in 0..times_full() {
        sleep(Duration::from_millis(chance.between(50, 1_500)));
        let before = shop.says(SAYS);
        fill(&disk);
        for _ in 0..100 {
            if shop.says(SAYS) > before {
                said += 1;
                break;
            }
            sleep(Duration::from_millis(50));
        }
        sleep(Duration::from_millis(chance.between(1, 2_000)));
        fs::remove_file(disk.join("filler")).unwrap();
    }
    done.store(true, Ordering::Release);
    said
}

/// The letters of the relay as files, where a state looks for them; gives how many warned of the full disk, which no
/// ledger knows.
fn letters_into_the_shop(shop: &Shop, relay: &Relay) -> usize {
    let (warnings, others): (Vec<String>, Vec<String>) =
        relay.letters().into_iter().partition(|mail| mail.contains(SUBJECT));
    for (number, mail) in others.iter().enumerate() {
        fs::write(shop.dir().join("letters").join(format!("{number}.eml")), mail).unwrap();
    }
    warnings.len()
}

fn full_at_random(folders: &[&str]) {
    let mut chance = Chance(20_261_128 + folders.len() as u64);
    let begin = some_days_ago();
    let mut papers: Vec<Paper> = rounds(begin).into_iter().skip(2).flatten().collect();
    papers.extend((1..times_full() * 5).flat_map(|number| engine(begin, &format!("25-{number:03}"))));
    chance.shuffle(&mut papers);
    let calm = Shop::empty();
    calm.drop_in(&shop_and_engine(begin));
    assert!(calm.once().status.success());
    calm.drop_in(&papers);
    assert_eq!(calm.once().status.code(), Some(10));
    let expected = State::of(calm.dir(), "undisturbed");

    let relay = Relay::holding();
    relay.speak();
    let (shop, disk) = shop_on_a_small_disk(folders, &relay, begin);
    let mut service = shop.run();
    let (done, own_chance) = (AtomicBool::new(false), Chance(chance.between(0, u64::MAX)));
    let said = std::thread::scope(|scope| {
        let filler = scope.spawn(|| fill_and_free(&shop, own_chance, &done));
        let folder = shop.watch_folder().join("drop");
        for paper in &papers {
            drop_in(&folder, paper);
            if !done.load(Ordering::Acquire) {
                sleep(Duration::from_millis(chance.between(20, 250)));
            }
        }
        filler.join().unwrap()
    });
    let arrivals = papers.len() + shop_and_engine(begin).len();
    shop.wait_for_arrivals(arrivals);
    shop.wait_for_rest();
    assert!(service.is_running(), "{}", shop.log());
    assert_eq!(shop.says("benchdrop starts"), 1, "it was started again");
    shop.ends_cleanly(service);
    assert!(said > 0, "it never came to a write that failed: the gate proves nothing\n{}", shop.log());
    assert_eq!(letters_into_the_shop(&shop, &relay), 1, "the owner is told once\n{}", shop.log());
    let state = State::of(shop.dir(), "full now and then");
    assert_eq!(state.without_batches(), expected.without_batches());
    let panics = shop.says("panicked at");
    assert_eq!(panics, 0, "{}", shop.log());
    let counts = [
        ("papers", arrivals),
        ("times full", times_full()),
        ("noticed", said),
        ("letters", state.letters.len()),
        ("warnings", 1),
    ];
    let name = format!("full disk of {}", folders.join(" and "));
    gate::report(&name, &counts.map(|(what, n)| (what, n as u64)), 0, 0, panics as u64);
    drop(disk);
}

#[test]
#[ignore = "needs root and loop devices; tests/run runs it"]
fn a_full_disk_of_the_ledger_costs_nothing_but_time() {
    if disk::is_possible("full disk of the ledger") {
        full_at_random(&["ledger"]);
    }
}

#[test]
#[ignore = "needs root and loop devices; tests/run runs it"]
fn a_full_disk_of_everything_costs_nothing_but_time() {
    if disk::is_possible("full disk of everything") {
        full_at_random(&["ledger", "watch-folder"]);
    }
}

/// A device at the drop point is told, keeps what it has, and hands it in once there is room; no half of it lies about.
#[test]
#[ignore = "needs root and loop devices; tests/run runs it"]
fn a_device_is_told_of_a_full_disk() {
    let relay = Relay::holding();
    relay.speak();
    let (shop, _disk) = shop_on_a_small_disk(&["watch-folder"], &relay, some_days_ago());
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let service = listening(&shop, port);
    let before = shop.n_arrivals();
    fill(&shop.dir().join("disk"));
    let large = vec![b'x'; 500_000];
    let answer = device.hand_in("large.json", &large).unwrap();
    assert_eq!(answer.status, 507, "{}", answer.text());
    assert!(answer.text().contains("keep it on this device"), "{}", answer.text());
    let drop = shop.watch_folder().join("drop");
    let left: Vec<_> = fs::read_dir(&drop).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, [".benchdrop"]);
    assert_eq!(device.get("/board.html").status, 200, "what is there is shown");
    fs::remove_file(shop.dir().join("disk/filler")).unwrap();
    assert_eq!(device.hand_in("large.json", &large).unwrap().status, 201);
    shop.wait_for_arrivals(before + 1);
    shop.ends_cleanly(service);
}
