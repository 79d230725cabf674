//! The command line: one file a command.
//!
//! Answers go to standard output, troubles to standard error, logs to standard error through tracing. Exit
//! codes: 0 done; 1 it could not be done, and standard error says why; 2 the arguments are wrong; 10 `once`
//! returned something, or `check` would; 11 `once` left something waiting, or `check` finds something held or not all
//! there; 12 both; 20 `ledger verify`, `sheet` or `status` found a fault;
//! 70 the daemon had to stop acknowledging and wants to be started again.

mod board;
mod check;
mod demo;
mod device;
mod form;
mod gauges;
mod init;
mod job;
mod ledger;
mod once;
mod plan;
mod progress;
mod reckon;
mod run;
mod sheet;
mod shell;
mod speak;
mod status;
mod summary;

use crate::config::Config;
use clap::{Parser, Subcommand};
use speak::complain;
use std::path::PathBuf;
use std::process::ExitCode;

/// The background service of an engine-rebuilding shop: files dropped at the bench become verdicts, stages,
/// letters and pages.
#[derive(Parser)]
#[command(name = "benchdrop", version, about)]
struct Arguments {
    /// The shop's configuration.
    #[arg(long, short, global = true, default_value = "benchdrop.toml", value_name = "FILE")]
    config: PathBuf,
    /// Write logs as JSON, one object a line.
    #[arg(long, global = true)]
    log_json: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Make a new shop in a folder.
    Init(init::Init),
    /// Run the service until it is told to stop.
    Run,
    /// Take in all that waits, send what is due, and end.
    Once,
    /// What files would do if they were dropped now; nothing is recorded.
    Check(check::CheckCommand),
    /// Check a spec sheet by computing every stack of it.
    Sheet(sheet::SheetCommand),
    /// Where every engine stands.
    Board(board::BoardCommand),
    /// Everything about one engine.
    Job(job::JobCommand),
    /// What is proposed for an engine, with reasons, parts and money.
    Plan(plan::PlanCommand),
    /// What to fill in for an engine, as a table for a spreadsheet.
    Form(form::FormCommand),
    /// Every gauge, and what rests on those that are bad or overdue.
    Gauges(gauges::GaugesCommand),
    /// The daily summary as it would be now.
    Summary(summary::SummaryCommand),
    /// Answer a small question of the trade, with formula, steps and source.
    Reckon(reckon::ReckonCommand),
    /// Make a demonstration shop and run the real service on it.
    Demo(demo::Demo),
    /// Let devices in at the drop point, and withdraw their keys.
    Device(device::DeviceCommand),
    /// Look after the ledger.
    Ledger(ledger::LedgerCommand),
    /// Whether the service lives and what it stands on is well.
    Status(status::StatusCommand),
    /// What a shell needs to complete our commands.
    Completions(shell::Completions),
    /// The manual page.
    Manual,
}

/// Reads the arguments and does what they ask.
#[must_use]
pub fn main() -> ExitCode {
    let arguments = Arguments::parse_from(reckon::values_kept(std::env::args_os()));
    let config = || Config::read(&arguments.config);
    let done = match &arguments.command {
        Command::Init(init) => init.execute(),
        Command::Sheet(sheet) => sheet.execute(),
        Command::Demo(demo) => demo.execute(),
        Command::Reckon(reckon) => reckon.execute(),
        Command::Run => run::execute(&arguments.config, arguments.log_json),
        Command::Once => {
            config().map_err(Into::into).and_then(|config| once::execute(config, arguments.log_json))
        }
        Command::Check(check) => config().map_err(Into::into).and_then(|config| check.execute(&config)),
        Command::Board(board) => config().map_err(Into::into).and_then(|config| board.execute(&config)),
        Command::Job(job) => config().map_err(Into::into).and_then(|config| job.execute(&config)),
        Command::Plan(plan) => config().map_err(Into::into).and_then(|config| plan.execute(&config)),
        Command::Form(form) => config().map_err(Into::into).and_then(|config| form.execute(&config)),
        Command::Gauges(gauges) => config().map_err(Into::into).and_then(|config| gauges.execute(&config)),
        Command::Summary(summary) => config().map_err(Into::into).and_then(|config| summary.execute(&config)),
        Command::Device(device) => config().map_err(Into::into).and_then(|config| device.execute(&config)),
        Command::Ledger(ledger) => config().map_err(Into::into).and_then(|config| ledger.execute(&config)),
        Command::Status(status) => config().map_err(Into::into).and_then(|config| status.execute(&config)),
        Command::Completions(completions) => completions.execute(),
        Command::Manual => shell::manual(),
    };
    done.unwrap_or_else(|error| {
        complain(error.as_ref());
        ExitCode::from(1)
    })
}

/// The exit code of what took papers in, or looked at them as if.
fn returned_or_waiting(returned: bool, waiting: bool) -> ExitCode {
    match (returned, waiting) {
        (false, false) => ExitCode::SUCCESS,
        (true, false) => ExitCode::from(10),
        (false, true) => ExitCode::from(11),
        (true, true) => ExitCode::from(12),
    }
}

/// What a command ends with: an exit code, or a trouble that is printed with its causes.
type Done = Result<ExitCode, Box<dyn std::error::Error>>;
