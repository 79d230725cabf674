//! `board`: where every engine stands.

use super::Done;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{board_of, shop_of};
use crate::ledger::Ledger;
use crate::pages::{board_json, board_text};
use clap::Args;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct BoardCommand {
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl BoardCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let ledger = Ledger::read_only(&config.ledger)?;
        let board = board_of(&ledger, &shop_of(&ledger)?, &config.zone, SystemClock::new().now())?;
        if self.json {
            say_json(&board_json(&board));
        } else {
            say(&board_text(&board));
        }
        Ok(ExitCode::SUCCESS)
    }
}
