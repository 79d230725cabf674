//! A watch folder that goes away and comes back at random moments while papers come, by whatever way a test has to take
//! it away. Its senders are on the other side: they go on dropping while it is away from here.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

use crate::gate;
use crate::process::{Chance, Shop, some_days_ago};
use crate::script::{Paper, engine, rounds};
use crate::state::State;
use std::fs::{self, File};
use std::os::fd::AsRawFd as _;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

/// The ways of a watch folder.
pub trait Share: Sync {
    /// It is gone, or an empty folder lies where it was.
    fn take_away(&self, shop: &Path);
    /// Something is there again, but it is empty.
    fn show_empty(&self, shop: &Path);
    /// It is there again with everything in it.
    fn bring_back(&self, shop: &Path);
}

fn times() -> usize {
    if gate::is_long() { 20 } else { 3 }
}

/// Takes it away and brings it back: empty at first, then without the papers, then with them.
fn come_and_go(shop: &Shop, share: &dyn Share, drop: &Path, mut chance: Chance, done: &AtomicBool) -> usize {
    const AWAY: &str = "the watch folder is away";
    let hidden = shop.dir().join("disk/hidden");
    let mut noticed = 0;
    for _ in 0..times() {
        sleep(Duration::from_millis(chance.between(50, 1_500)));
        let before = shop.says(AWAY);
        share.take_away(shop.dir());
        // What a share gives back first is not always what was in it.
        let names: Vec<_> = fs::read_dir(drop).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        fs::create_dir_all(&hidden).unwrap();
        for name in names.iter().filter(|name| *name != ".benchdrop") {
            // It may be on its way out, moved by a turn that began before.
            fs::rename(drop.join(name), hidden.join(name)).unwrap_or_default();
        }
        if chance.between(0, 3) > 0 {
            shop.wait_until("the trouble", || shop.says(AWAY) > before);
            noticed += 1;
        }
        share.show_empty(shop.dir());
        sleep(Duration::from_millis(chance.between(1, 2_000)));
        share.bring_back(shop.dir());
        sleep(Duration::from_millis(chance.between(1, 1_000)));
        for entry in fs::read_dir(&hidden).unwrap().map(Result::unwrap) {
            fs::rename(entry.path(), drop.join(entry.file_name())).unwrap();
        }
    }
    done.store(true, Ordering::Release);
    noticed
}

/// A life with such a folder: every paper is taken in once, by the service that ran all the time. `shop` has its watch
/// folder in place already.
pub fn hold(gate: &str, shop: &Shop, share: &dyn Share) {
    let mut chance = Chance(20_261_130);
    let begin = some_days_ago();
    let mut papers: Vec<Paper> = rounds(begin).into_iter().flatten().collect();
    papers.extend((1..times() * 10).flat_map(|number| engine(begin, &format!("25-{number:03}"))));
    chance.shuffle(&mut papers);
    let calm = Shop::empty();
    calm.drop_in(&papers);
    assert_eq!(calm.once().status.code(), Some(10));
    let expected = State::of(calm.dir(), "undisturbed");

    // By a handle, the folder is reached wherever it is.
    let handle = File::open(shop.watch_folder().join("drop")).unwrap();
    let drop = PathBuf::from(format!("/proc/self/fd/{}", handle.as_raw_fd()));
    let mut service = shop.run();
    let (done, own_chance) = (AtomicBool::new(false), Chance(chance.between(0, u64::MAX)));
    let noticed = std::thread::scope(|scope| {
        let other_side = scope.spawn(|| come_and_go(shop, share, &drop, own_chance, &done));
        for paper in &papers {
            fs::write(drop.join(&paper.name), &paper.bytes).unwrap();
            if !done.load(Ordering::Acquire) {
                sleep(Duration::from_millis(chance.between(20, 250)));
            }
        }
        other_side.join().unwrap()
    });
    shop.wait_for_arrivals(papers.len());
    shop.wait_for_rest();
    assert!(service.is_running(), "{}", shop.log());
    shop.ends_cleanly(service);
    assert!(noticed > 0, "it was never missed: the gate proves nothing\n{}", shop.log());
    let state = State::of(shop.dir(), "away now and then");
    assert_eq!(state.without_batches(), expected.without_batches());
    let panics = shop.says("panicked at");
    assert_eq!(panics, 0, "{}", shop.log());
    let counts = [("papers", papers.len()), ("times away", times()), ("noticed", noticed)];
    gate::report(gate, &counts.map(|(what, n)| (what, n as u64)), 0, 0, panics as u64);
}
