//! `plan NO`: what is proposed for one engine.

use super::Done;
use super::job::view_or_say;
use super::speak::{say, say_json};
use crate::config::Config;
use crate::pages::{plan_json, plan_text};
use clap::Args;
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct PlanCommand {
    /// Its number, NO or SITE/NO.
    number: String,
    /// For programs, with reasons for every line; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl PlanCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let view = view_or_say(config, &self.number)?;
        if self.json {
            say_json(&plan_json(&view));
        } else {
            say(&plan_text(&view));
        }
        Ok(ExitCode::SUCCESS)
    }
}
