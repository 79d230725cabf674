//! `ledger verify`: every byte and every link of the ledger.

use super::Done;
use super::progress::Progress;
use super::speak::say;
use crate::config::Config;
use crate::ledger::Ledger;
use clap::{Args, Subcommand};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct LedgerCommand {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Read the whole ledger and say whether anything in it was changed, lost or exchanged.
    Verify,
}

impl LedgerCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        match self.what {
            What::Verify => verify(config),
        }
    }
}

fn verify(config: &Config) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let mut progress = Progress::new("verifying");
    let report = ledger.verify(&mut |done, all| progress.at(done, all))?;
    drop(progress);
    let mut text = format!(
        "{} drops, {} arrivals, {} letters, {} bytes read\n",
        report.drops, report.arrivals, report.letters, report.bytes
    );
    for fault in &report.faults {
        text.push_str(&format!("  fault: {fault}\n"));
    }
    if report.more_faults > 0 {
        text.push_str(&format!("  and {} more\n", report.more_faults));
    }
    text.push_str(if report.is_sound() {
        "The ledger is sound.\n"
    } else {
        "The ledger is damaged: keep it as it is and restore a backup beside it.\n"
    });
    say(&text);
    Ok(ExitCode::from(if report.is_sound() { 0 } else { 20 }))
}
