//! `job NO`: everything about one engine.

use super::Done;
use super::speak::{say, say_json};
use crate::config::Config;
use crate::daemon::view_of;
use crate::facts::JobKey;
use crate::ledger::Ledger;
use crate::pages::{JobView, job_json, job_text};
use clap::Args;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct JobCommand {
    /// Its number, NO or SITE/NO.
    number: String,
    /// Every verdict, not only what is out of limits.
    #[arg(long)]
    all: bool,
    /// For programs, with every reason; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl JobCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let view = view_or_say(config, &self.number)?;
        if self.json {
            say_json(&job_json(&view));
        } else {
            say(&job_text(&view, self.all));
        }
        Ok(ExitCode::SUCCESS)
    }
}

/// The engine of this number from the configured ledger, or words that say what to do.
pub(super) fn view_or_say(config: &Config, number: &str) -> Result<JobView, Box<dyn std::error::Error>> {
    let ledger = Ledger::read_only(&config.ledger)?;
    let view = match JobKey::of(number, ledger.site()) {
        Some(key) => view_of(&ledger, &key)?,
        None => None,
    };
    Ok(view.ok_or_else(|| format!("no drop of a job {number} is in the ledger; see benchdrop board"))?)
}
