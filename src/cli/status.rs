//! `status`: whether the service lives, and whether what it stands on does.

use super::Done;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{Finding, health};
use clap::Args;
use serde_json::{Value, json};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct StatusCommand {
    /// For programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
}

impl StatusCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let findings = health(config, SystemClock::new().now());
        let all_well = findings.iter().all(|finding| !finding.is_wrong);
        if self.json {
            let lines: Vec<Value> = findings.iter().map(finding_json).collect();
            say_json(&json!({ "all-well": all_well, "findings": lines }));
        } else {
            say(&findings.iter().map(line).collect::<String>());
        }
        Ok(ExitCode::from(if all_well { 0 } else { 20 }))
    }
}

fn line(finding: &Finding) -> String {
    let sign = if finding.is_wrong { "WRONG" } else { "well" };
    format!("{sign:<6} {}: {}\n", finding.about, finding.says)
}

fn finding_json(finding: &Finding) -> Value {
    json!({ "about": finding.about, "says": finding.says, "wrong": finding.is_wrong })
}
