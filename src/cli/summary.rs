//! `summary`: the daily page as it would be now.

use super::Done;
use super::speak::say;
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{shop_of, summary_input};
use crate::ledger::Ledger;
use crate::notices::{Due, summary_text};
use std::process::ExitCode;

pub(super) fn execute(config: &Config) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let (input, _) = summary_input(&ledger, &shop_of(&ledger)?)?;
    let today = config.zone.to_datetime(SystemClock::new().now()).date();
    say(&summary_text(&input, &Due { from: today, date: today }));
    Ok(ExitCode::SUCCESS)
}
