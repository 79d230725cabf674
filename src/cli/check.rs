//! `check FILE...`: what files would do if they were dropped now. Nothing is recorded.

use super::Done;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::foresee;
use crate::ledger::Ledger;
use crate::pages::{ForeseenFate, foreseen_json, foreseen_text};
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct CheckCommand {
    /// Drops, as JSON or as tables; several are seen together.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl CheckCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let read = |file: &PathBuf| {
            let name = file.display().to_string();
            match std::fs::read(file) {
                Ok(bytes) => Ok((name, bytes)),
                Err(error) => Err(format!("reading {name}: {error}")),
            }
        };
        let papers = self.files.iter().map(read).collect::<Result<Vec<_>, String>>()?;
        let ledger = Ledger::read_only(&config.ledger)?;
        let foreseen = foresee(&ledger, &papers, SystemClock::new().now())?;
        if self.json {
            say_json(&foreseen_json(&foreseen));
        } else {
            say(&foreseen_text(&foreseen));
        }
        let (mut returned, mut waits) = (false, false);
        for paper in &foreseen.papers {
            match &paper.fate {
                ForeseenFate::Returned { .. } => returned = true,
                ForeseenFate::Unfinished { .. } => waits = true,
                ForeseenFate::Filed { held } => waits |= !held.is_empty(),
                ForeseenFate::Copy => {}
            }
        }
        Ok(super::returned_or_waiting(returned, waits))
    }
}
