//! `gauges`: every gauge, and what rests on those that are bad or overdue.

use super::Done;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{gauges_of, shop_of};
use crate::ledger::Ledger;
use crate::pages::{gauges_json, gauges_text};
use clap::Args;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct GaugesCommand {
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl GaugesCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let ledger = Ledger::read_only(&config.ledger)?;
        let gauges = gauges_of(&ledger, &shop_of(&ledger)?, &config.zone, SystemClock::new().now())?;
        if self.json {
            say_json(&gauges_json(&gauges));
        } else {
            say(&gauges_text(&gauges));
        }
        Ok(ExitCode::SUCCESS)
    }
}
