//! The real service, killed at random moments while papers keep coming, and started again each time: nothing lost,
//! nothing twice, the same end state. Guards promises 1, 2, 3 and 8.
//!
//! Every other life is killed when it has a batch in hand. 60 lives, or 1,000 in the long form.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/gate.rs"]
mod gate;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use process::{Chance, Shop, some_days_ago};
use script::{Paper, engine, rounds};
use state::State;
use std::fs::{self, File};
use std::io::Write as _;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread::sleep;
use std::time::Duration;

/// The script and more engines, in an order of no sense.
fn papers(engines: usize, chance: &mut Chance) -> Vec<Paper> {
    let begin = some_days_ago();
    let mut papers: Vec<Paper> = rounds(begin).into_iter().flatten().collect();
    papers.extend((1..engines).flat_map(|number| engine(begin, &format!("25-{number:03}"))));
    chance.shuffle(&mut papers);
    papers
}

/// What the same papers come to when nobody disturbs, all dropped at once.
fn undisturbed(papers: &[Paper]) -> State {
    let shop = Shop::empty();
    shop.drop_in(papers);
    let round = shop.once();
    assert_eq!(round.status.code(), Some(10), "{round:?}");
    State::of(shop.dir(), "undisturbed")
}

/// Drops papers one by one: some at once, some bit by bit, some under a temporary name first.
fn drop_slowly(folder: &Path, papers: &[Paper], chance: &mut Chance, done: &AtomicBool) {
    for paper in papers {
        let path = folder.join(&paper.name);
        match chance.between(0, 4) {
            0 => {
                let (first, rest) = paper.bytes.split_at(paper.bytes.len() / 2);
                let mut file = File::create(&path).unwrap();
                file.write_all(first).unwrap();
                sleep(Duration::from_millis(chance.between(1, 30)));
                file.write_all(rest).unwrap();
            }
            1 => {
                let under_way = folder.join(format!("{}.part", paper.name));
                fs::write(&under_way, &paper.bytes).unwrap();
                fs::rename(under_way, &path).unwrap();
            }
            _ => fs::write(&path, &paper.bytes).unwrap(),
        }
        sleep(Duration::from_millis(chance.between(20, 160)));
    }
    done.store(true, Ordering::Release);
}

#[test]
fn killed_at_random_the_end_is_the_same() {
    let mut chance = Chance(20_261_125);
    let (lives, engines) = if gate::is_long() { (1_000, 400) } else { (60, 100) };
    let papers = papers(engines, &mut chance);
    let expected = undisturbed(&papers);
    let shop = Shop::empty();
    // Longer than any pause between the halves of a paper.
    shop.set("grace-seconds = 0.5", "grace-seconds = 2.0");
    let folder = shop.watch_folder().join("drop");
    let (slow, in_hand) = papers.split_at(papers.len() / 4);
    let mut handfuls = in_hand.chunks(in_hand.len().div_ceil(lives / 2)).peekable();
    let (done, mut kills) = (AtomicBool::new(false), 0);
    std::thread::scope(|scope| {
        let mut own_chance = Chance(chance.between(0, u64::MAX));
        let (folder, done) = (&folder, &done);
        scope.spawn(move || drop_slowly(folder, slow, &mut own_chance, done));
        while kills < lives || !done.load(Ordering::Acquire) {
            if let Some(some) = handfuls.next_if(|_| kills % 2 == 0) {
                shop.drop_in(some);
                shop.run_and_kill_at_work(&mut chance);
            } else {
                let service = shop.run();
                sleep(Duration::from_millis(chance.between(60, 300)));
                service.kill();
            }
            kills += 1;
        }
    });
    let service = shop.run();
    shop.wait_for_arrivals(papers.len());
    shop.wait_for_rest();
    let (status, _) = service.end();
    assert!(status.success(), "{status}\n{}", shop.log());
    let state = State::of(shop.dir(), &format!("killed {kills} times"));
    assert_eq!(state.without_batches(), expected.without_batches());
    let panics = shop.says("panicked at") as u64;
    assert_eq!(panics, 0, "{}", shop.log());
    let counts = [("papers", papers.len()), ("kills", kills), ("letters", state.letters.len())];
    gate::report("killed at random under load", &counts.map(|(what, n)| (what, n as u64)), 0, 0, panics);
}
