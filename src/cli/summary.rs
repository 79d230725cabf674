//! `summary`: the daily page as it would be now.

use super::Done;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{shop_of, summary_input};
use crate::ledger::Ledger;
use crate::notices::{Due, summary_json, summary_text};
use clap::Args;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct SummaryCommand {
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl SummaryCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let ledger = Ledger::read_only(&config.ledger)?;
        let (input, _) = summary_input(&ledger, &shop_of(&ledger)?)?;
        let today = config.zone.to_datetime(SystemClock::new().now()).date();
        let due = Due { from: today, date: today };
        if self.json {
            say_json(&summary_json(&input, &due, &config.zone));
        } else {
            say(&summary_text(&input, &due, &config.zone));
        }
        Ok(ExitCode::SUCCESS)
    }
}
