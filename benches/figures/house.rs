//! The daemon's own house on a shop, turned in this process by a clock that is set by hand: settle times pass at once,
//! and what is measured is work.

use super::mail::Relay;
use super::shop::configuration;
use benchdrop::clock::{Clock, HandClock, SystemClock};
use benchdrop::config::Config;
use benchdrop::daemon::{DaemonError, House, Setup, Step, Steps};
use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// When each step was reached, by the machine's clock.
#[derive(Clone)]
struct Onlooker {
    clock: SystemClock,
    seen: Arc<Mutex<Vec<(Step, Duration)>>>,
}

impl Steps for Onlooker {
    fn after(&mut self, step: Step) -> Result<(), DaemonError> {
        self.seen.lock().unwrap().push((step, self.clock.since_start()));
        Ok(())
    }
}

/// A shop at work.
pub(super) struct Work {
    house: House,
    clock: Arc<HandClock>,
    onlooker: Onlooker,
    folder: PathBuf,
    papers: usize,
}

impl Work {
    /// Opens the shop in this folder and lets it come to rest.
    pub(super) fn open(folder: &Path, machine: SystemClock, relay: Option<u16>) -> Self {
        let onlooker = Onlooker { clock: machine, seen: Arc::default() };
        let clock = Arc::new(HandClock::at(machine.now()));
        let setup = Setup {
            clock: Arc::clone(&clock) as Arc<dyn Clock>,
            wake: Arc::new(|| {}),
            steps: Box::new(onlooker.clone()),
            patient: true,
        };
        let house = House::open(Config::parse(&configuration(relay), folder).unwrap(), setup).unwrap();
        let mut work = Self { house, clock, onlooker, folder: folder.to_owned(), papers: 0 };
        work.rest();
        work
    }

    /// Turns until nothing is left to do, pages and letters too.
    pub(super) fn rest(&mut self) {
        let mut idle = 0;
        while idle < 3 || self.house.posting() > 0 {
            let taken = self.house.turn().unwrap();
            idle = if taken.filed > 0 || taken.more { 0 } else { idle + 1 };
            self.clock.advance(Duration::from_secs(3));
        }
    }

    /// So much time passes in the shop, with everything done that comes with it.
    pub(super) fn pass(&mut self, time: Duration) {
        self.clock.advance(time);
        self.rest();
    }

    /// Takes these in together. From settled to committed and filed.
    pub(super) fn take(&mut self, texts: &[String]) -> Duration {
        let began = self.settle(texts);
        let mut filed = 0;
        let mut ended = began;
        while filed < texts.len() {
            self.onlooker.seen.lock().unwrap().clear();
            filed += self.house.turn().unwrap().filed;
            let seen = self.onlooker.seen.lock().unwrap();
            ended = seen.iter().find(|(step, _)| *step == Step::FiledAway).unwrap().1;
        }
        ended - began
    }

    /// Takes one in that is news. From settled to the relay's acceptance of the letter about it.
    pub(super) fn tell(&mut self, text: String, relay: &Relay) -> Duration {
        relay.forget();
        let began = self.settle(&[text]);
        assert_eq!(self.house.turn().unwrap().filed, 1);
        let accepted = relay.accepted();
        self.rest();
        accepted - began
    }

    /// Lays papers down, has them found and settled. From here on the time counts.
    fn settle(&mut self, texts: &[String]) -> Duration {
        for text in texts {
            self.papers += 1;
            let name = format!("drop/{:06}.json", self.papers);
            let mut file = File::create(self.folder.join("watch-folder").join(name)).unwrap();
            file.write_all(text.as_bytes()).unwrap();
            file.sync_all().unwrap();
        }
        self.house.turn().unwrap();
        self.clock.advance(Duration::from_secs(2));
        self.onlooker.clock.since_start()
    }

    pub(super) fn close(self) {
        self.house.close(Duration::from_secs(2)).unwrap();
    }
}

/// One floor write: write 2 KiB, sync, rename, sync the folder.
pub(super) fn floor_write(folder: &Path, clock: SystemClock, index: usize) -> Duration {
    let began = clock.since_start();
    let part = folder.join(".part");
    let mut file = File::create(&part).unwrap();
    file.write_all(&[b'x'; 2_048]).unwrap();
    file.sync_all().unwrap();
    fs::rename(&part, folder.join(format!("{index:05}.json"))).unwrap();
    File::open(folder).unwrap().sync_all().unwrap();
    clock.since_start() - began
}
