//! The watch folder goes away and comes back: renamed, emptied, made anew. It is said, nothing is concluded from what is
//! not there, nothing is made in its place, and all goes on by itself when it is back. Guards promise 1.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

#[path = "support/house.rs"]
mod house;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use benchdrop::daemon::{Call, run};
use benchdrop::facts::JobKey;
use benchdrop::intake;
use house::{Onlooker, Place};
use process::{Shop, some_days_ago};
use script::{engine, shop_and_engine};
use state::State;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::mpsc::sync_channel;
use std::thread::sleep;
use std::time::Duration;
use tempfile::TempDir;

/// Two tries of a turn that fails lie within this.
const TWO_TRIES: Duration = Duration::from_secs(7);

/// Where the watch folder is while it is away.
fn elsewhere(dir: &Path) -> PathBuf {
    dir.join("elsewhere")
}

fn take_away(dir: &Path) {
    fs::rename(dir.join("watch-folder"), elsewhere(dir)).unwrap();
}

fn bring_back(dir: &Path) {
    fs::rename(elsewhere(dir), dir.join("watch-folder")).unwrap();
}

#[test]
fn a_watch_folder_that_vanishes_is_said_once_and_waited_for() {
    let shop = Shop::empty();
    let papers = shop_and_engine(some_days_ago());
    let (first, later) = papers.split_at(6);
    shop.drop_in(first);
    let service = shop.run();
    shop.wait_for_arrivals(first.len());
    take_away(shop.dir());
    shop.wait_until("the trouble", || shop.says("the watch folder is away") == 1);
    // Whoever is on the other side of a broken line goes on dropping.
    for paper in later {
        fs::write(elsewhere(shop.dir()).join("drop").join(&paper.name), &paper.bytes).unwrap();
    }
    sleep(TWO_TRIES);
    assert_eq!(shop.says("the watch folder is away"), 1, "{}", shop.log());
    assert_eq!(shop.n_arrivals(), first.len());
    assert!(!shop.watch_folder().exists(), "nothing is made where the folder was");

    // An absent share leaves an empty folder behind: that is another trouble, and no deletion.
    fs::create_dir(shop.watch_folder()).unwrap();
    shop.wait_until("the missing marker", || shop.says("its marker file is missing") == 1);
    sleep(TWO_TRIES);
    assert_eq!(shop.says("its marker file is missing"), 1, "{}", shop.log());
    fs::remove_dir(shop.watch_folder()).expect("nothing is made in the empty folder");
    bring_back(shop.dir());
    shop.wait_for_arrivals(papers.len());
    shop.wait_for_rest();
    assert_eq!(shop.says("working again"), 1, "{}", shop.log());
    shop.ends_cleanly(service);
    assert_eq!(State::of(shop.dir(), "away and back").arrivals.len(), papers.len());
}

#[test]
fn a_stop_while_the_watch_folder_is_away_makes_none() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_for_arrivals(8);
    take_away(shop.dir());
    shop.wait_until("the trouble", || shop.says("the watch folder is away") == 1);
    shop.ends_cleanly(service);
    assert!(!shop.watch_folder().exists(), "nothing is made where the folder was");
    let refused = shop.once();
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("is away"), "{refused:?}");
    bring_back(shop.dir());
    assert!(shop.once().status.success());
    State::of(shop.dir(), "stopped while away");
}

/// A share restored from nothing, with its markers, gets every page again.
#[test]
fn a_new_watch_folder_gets_its_pages() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let service = shop.run();
    shop.wait_for_arrivals(8);
    let of_the_job = format!("jobs/{}.html", JobKey::of("24-017", "main").unwrap().slug());
    shop.wait_until("pages", || shop.page(&of_the_job).contains("24-017"));
    take_away(shop.dir());
    shop.wait_until("the trouble", || shop.says("the watch folder is away") == 1);
    intake::lay_out(&shop.watch_folder()).unwrap();
    shop.wait_until("pages", || shop.page(&of_the_job).contains("24-017"));
    shop.wait_until("pages", || shop.page("board.html").contains("24-017"));
    shop.drop_in(&engine(some_days_ago(), "24-018"));
    shop.wait_for_arrivals(11);
    shop.ends_cleanly(service);
}

/// Nobody at the bench reads a log: after a minute the owner gets a letter, and another when it is over. Letters go out
/// meanwhile.
#[test]
fn an_absence_of_a_minute_is_told_once_and_its_end_once() {
    let dir = TempDir::new().unwrap();
    let place = Place::lay_out(dir.path(), "to = \"folder\"\nfolder = \"letters\"\n");
    let mut open = place.open("2026-03-20T05:00:00Z".parse().unwrap(), &Onlooker::default()).unwrap();
    place.drop_in(&shop_and_engine("2026-03-17T05:00:30Z".parse().unwrap()));
    open.rest().unwrap();
    let (clock, house) = open.apart();
    let (caller, calls) = sync_channel(8);
    let service =
        std::thread::spawn(move || run(house, &calls, &|| Err("nothing is reread here".to_owned())));
    let letters = |subject: &str| {
        let letters = fs::read_dir(dir.path().join("letters")).unwrap().map(|entry| entry.unwrap().path());
        let mails = letters.filter_map(|path| fs::read_to_string(path).ok());
        mails.filter(|mail| mail.contains(&format!("Subject: The watch folder is {subject}"))).count()
    };
    // A call ends the pause between two turns.
    let turn_until = |is_so: &dyn Fn() -> bool| {
        for _ in 0..3_000 {
            caller.send(Call::Look).unwrap();
            sleep(Duration::from_millis(20));
            if is_so() {
                return;
            }
        }
        panic!("waited in vain: {} letters away, {} back", letters("away"), letters("back"))
    };
    let turn_a_few_times = || (0..10).for_each(|_| turn_until(&|| true));

    take_away(dir.path());
    turn_a_few_times();
    clock.advance(Duration::from_secs(58));
    turn_a_few_times();
    assert_eq!(letters("away"), 0, "a share that blinks is no letter");
    clock.advance(Duration::from_secs(3));
    turn_until(&|| letters("away since 2026-03-20") == 1);
    clock.advance(Duration::from_secs(3_600));
    turn_a_few_times();
    bring_back(dir.path());
    turn_until(&|| letters("back") == 1);
    turn_a_few_times();
    assert_eq!((letters("away"), letters("back")), (1, 1));
    caller.send(Call::Stop).unwrap();
    service.join().unwrap().unwrap();
}
