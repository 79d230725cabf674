//! `demo`: a shop in a fresh folder, the real service running on it, and the story of two engines dropped into it: one
//! from its check-in to the hand-over, one half way.
//!
//! Nothing is faked: this command only writes files into the drop folder of another process, reads the ledger
//! to see how far that process is, and prints what the ledger says at the end. `scenario` holds shop and readings, `bench`
//! writes what a sheet asks for, `first` and `second` are the engines, `story` the order in which things happen, `stage` and
//! `service` where they happen.

mod bench;
mod digits;
mod first;
mod prices;
mod scenario;
mod second;
mod service;
mod stage;
mod story;

pub(in crate::cli) use scenario::first_drops;

use super::Done;
use super::init::{Patience, configuration, make};
use super::speak::say;
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{board_of, shop_of, summary_input};
use crate::facts::JobKey;
use crate::intake;
use crate::ledger::{Ledger, Outcome};
use crate::notices::{Due, summary_text};
use crate::pages::board_text;
use clap::Args;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct Demo {
    /// The folder to make it in; must not exist or be empty.
    #[arg(default_value = "benchdrop-demo")]
    dir: PathBuf,
}

type Result<T> = std::result::Result<T, Box<dyn std::error::Error>>;

impl Demo {
    pub(super) fn execute(&self) -> Done {
        let dir = fresh(&self.dir)?;
        // A demonstration should not take minutes: everything lies still sooner here.
        make(&dir, &configuration("main", "Etc/UTC", &Patience { settle: 0.3, grace: 3.0 }))?;
        let config = dir.join("benchdrop.toml");
        let service = service::Service::start(&dir, &config)?;
        let config = Config::read(&config)?;
        let stage = stage::Stage { dir: &dir, ledger: &config.ledger, log: &service.log };
        let told = story::play(&stage).and_then(|()| stage.wait_for_pages());
        service.stop()?;
        told?;
        report(&dir, &config)
    }
}

/// The folder itself, or the next free name beside it.
fn fresh(wanted: &Path) -> Result<PathBuf> {
    let is_free =
        |path: &Path| fs::read_dir(path).map_or(!path.exists(), |mut entries| entries.next().is_none());
    let numbered = (2..1000).map(|n| PathBuf::from(format!("{}-{n}", wanted.display())));
    let found = std::iter::once(wanted.to_owned()).chain(numbered).find(|path| is_free(path));
    let dir = found.ok_or("no free name for the demonstration's folder")?;
    fs::create_dir_all(&dir)?;
    Ok(dir)
}

/// The papers of the delivered engine as they were issued, with the hash that sha256sum prints of each.
fn issued(ledger: &Ledger, key: &JobKey, folder: &str) -> Result<String> {
    let mut lines = vec![folder.to_owned()];
    for paper in ledger.issued_of(&key.to_string())? {
        lines.push(format!("{} {}, sha256 {}", paper.paper, paper.version, paper.hash.hex()));
    }
    if lines.len() == 1 {
        return Err(
            format!("{key} was not handed over: a paper of the demonstration is not good any more").into()
        );
    }
    Ok(lines.join("\n                "))
}

/// What the shop knows now, from its ledger, and where everything lies.
fn report(dir: &Path, config: &Config) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let shop = shop_of(&ledger)?;
    let now = SystemClock::new().now();
    let mut text =
        format!("\nWHAT THE SHOP KNOWS NOW\n\n{}", board_text(&board_of(&ledger, &shop, &config.zone, now)?));
    let (input, _) = summary_input(&ledger, &shop)?;
    let today = config.zone.to_datetime(now).date();
    let due = Due { from: today, date: today };
    text.push_str(&format!("\nTHE DAILY PAGE\n\n{}", summary_text(&input, &due, &config.zone)));
    let arrivals = ledger.arrivals(10_000)?;
    let of =
        |wanted: Outcome| arrivals.iter().filter(|arrival| arrival.outcome == wanted).collect::<Vec<_>>();
    text.push_str(&format!("\nWhat arrived: {} papers filed\n", of(Outcome::Filed).len()));
    for arrival in of(Outcome::Returned).into_iter().chain(of(Outcome::Copy)) {
        text.push_str(&format!("  {:8} {}\n", arrival.outcome.word(), arrival.name));
    }
    let key = JobKey::of(scenario::JOB, ledger.site()).ok_or("the job's key")?;
    let second = JobKey::of(scenario::SECOND, ledger.site()).ok_or("the job's key")?;
    let board = dir.join("watch-folder").join(intake::BOARD);
    let below = |folder: &str, name: String| board.join(folder).join(name).display().to_string();
    let config = dir.join("benchdrop.toml");
    let config = config.display();
    let look = [
        ("Board", board.join("board.html").display().to_string()),
        ("Arrivals", board.join("arrivals.html").display().to_string()),
        ("Engine", below("jobs", format!("{}.html", key.slug()))),
        ("Plan", below("plans", format!("{}.html", second.slug()))),
        ("Build record", below("records", format!("{}.html", key.slug()))),
        ("Issued", issued(&ledger, &key, &below("issued", key.slug()))?),
        ("Work orders", below("orders", key.slug())),
        ("Half way", below("jobs", format!("{}.html", second.slug()))),
        ("Letters", format!("{}, in {}", ledger.letters()?.len(), dir.join("letters").display())),
        ("Reasons", format!("benchdrop --config {config} job {} --json", scenario::JOB)),
        (
            "Go on",
            format!(
                "benchdrop --config {config} run, and drop files into {}",
                dir.join("watch-folder").join(intake::DROP).display()
            ),
        ),
    ];
    text.push_str("\nLook at\n");
    for (what, place) in look {
        text.push_str(&format!("  {what:13} {place}\n"));
    }
    say(&text);
    Ok(ExitCode::SUCCESS)
}
