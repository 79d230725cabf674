//! `demo`: a shop in a fresh folder, the real service running on it, and the story of one engine dropped into it.
//!
//! Nothing is faked: this command only writes files into the drop folder of another process, reads the ledger
//! to see how far that process is, and prints what the ledger says at the end. `scenario` holds the drops,
//! `service` the other process, `story` the order in which things happen.

mod scenario;
mod service;
mod story;

pub(in crate::cli) use scenario::first_drops;

use super::Done;
use super::init::{Patience, configuration, make};
use super::speak::say;
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{board_of, shop_of, view_of};
use crate::facts::JobKey;
use crate::intake;
use crate::ledger::Ledger;
use crate::pages::{board_text, job_text};
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
        let told = story::Stage { dir: &dir, ledger: &config.ledger, log: &service.log }.play();
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

/// What the shop knows now, from its ledger, and where everything lies.
fn report(dir: &Path, config: &Config) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let board = board_of(&ledger, &shop_of(&ledger)?, &config.zone, SystemClock::new().now())?;
    let key = JobKey::of(scenario::JOB, ledger.site()).ok_or("the job's key")?;
    let view = view_of(&ledger, &key)?.ok_or("the ledger has no drop of the job")?;
    let letters = ledger.letters()?;
    let mut text =
        format!("\nWHAT THE SHOP KNOWS NOW\n\n{}\n{}\n", board_text(&board), job_text(&view, false));
    text.push_str("\nWhat arrived\n");
    for arrival in ledger.arrivals(1_000)?.iter().rev() {
        text.push_str(&format!("  {:8} {}\n", arrival.outcome.word(), arrival.name));
    }
    text.push_str(&format!(
        "\n{} letters, each an .eml file in {}\n(what follows the first letter of an engine gathers for a quarter of an \
         hour)\n",
        letters.len(),
        dir.join("letters").display()
    ));
    let board = dir.join("watch-folder").join(intake::BOARD);
    text.push_str(&format!("Board:    {}\n", board.join("board.html").display()));
    text.push_str(&format!("Arrivals: {}\n", board.join("arrivals.html").display()));
    text.push_str(&format!(
        "Engine:   {}\n",
        board.join("jobs").join(format!("{}.html", key.slug())).display()
    ));
    let config = dir.join("benchdrop.toml");
    text.push_str(&format!(
        "Reasons:  benchdrop --config {} job {} --json\n",
        config.display(),
        scenario::JOB
    ));
    text.push_str(&format!(
        "Go on:    benchdrop --config {} run, and drop files into {}\n",
        config.display(),
        dir.join("watch-folder").join(intake::DROP).display()
    ));
    say(&text);
    Ok(ExitCode::SUCCESS)
}
