//! `form NO`: what to fill in for an engine.

use super::Done;
use super::job::view_or_say;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::facts::write_sheet;
use crate::pages::{FormAsked, form_json, table_form};
use clap::Args;
use jiff::Timestamp;
use std::process::ExitCode;

#[derive(Args)]
#[command(group(clap::ArgGroup::new("as").required(true).args(["csv", "json"])))]
pub(super) struct FormCommand {
    /// The engine's number, NO or SITE/NO.
    number: String,
    /// A table for a spreadsheet, with every place of the engine; fill it in and drop it.
    #[arg(long)]
    csv: bool,
    /// The same for programs; the shape is in DEVELOPERS.md.
    #[arg(long)]
    json: bool,
    /// Only this feature of the sheet.
    #[arg(long, value_name = "KEY")]
    feature: Option<String>,
    /// The kind of drop it becomes.
    #[arg(long, default_value = "measurements", value_name = "KIND")]
    kind: String,
}

impl FormCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        let view = view_or_say(config, &self.number)?;
        let recorded = local(config, SystemClock::new().now());
        let asked = FormAsked { kind: &self.kind, feature: self.feature.as_deref(), recorded: &recorded };
        let table = table_form(&view, &asked)?;
        if self.json {
            say_json(&form_json(&self.kind, &table));
        } else {
            say(&write_sheet(&table));
        }
        Ok(ExitCode::SUCCESS)
    }
}

/// As RFC 3339 in the shop's zone, so that a person sees the time on the wall.
fn local(config: &Config, now: Timestamp) -> String {
    let offset = config.zone.to_offset(now).seconds();
    let (sign, minutes) = (if offset < 0 { '-' } else { '+' }, offset.abs() / 60);
    let time = config.zone.to_datetime(now).strftime("%Y-%m-%dT%H:%M:%S").to_string();
    format!("{time}{sign}{:02}:{:02}", minutes / 60, minutes % 60)
}
