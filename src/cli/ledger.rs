//! `ledger verify|backup|rebuild`: looking after the record.

use super::Done;
use super::progress::Progress;
use super::speak::{say, say_json};
use crate::clock::{Clock as _, SystemClock};
use crate::config::Config;
use crate::daemon::{Rebuilt, Sources, rebuild};
use crate::ledger::{Ledger, VerifyReport};
use clap::{Args, Subcommand};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Args)]
pub(super) struct LedgerCommand {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Read the whole ledger and say whether anything in it was changed, lost or exchanged.
    Verify {
        /// For programs; the shape is in DEVELOPERS.md.
        #[arg(long)]
        json: bool,
    },
    /// Copy the ledger to a new file while the service runs, and go through the copy.
    Backup {
        /// The copy; it must not be there yet.
        file: PathBuf,
    },
    /// Make a new ledger from the folders filed and returned, and a backup if there is one.
    Rebuild {
        /// The new ledger; it must not be there yet.
        new: PathBuf,
        /// A backup to begin with.
        #[arg(long, value_name = "FILE")]
        backup: Option<PathBuf>,
        /// The folder that holds filed and returned; the configured watch folder if it is left out.
        #[arg(long, value_name = "FOLDER")]
        papers: Option<PathBuf>,
    },
}

impl LedgerCommand {
    pub(super) fn execute(&self, config: &Config) -> Done {
        match &self.what {
            What::Verify { json } => verify(config, *json),
            What::Backup { file } => back_up(config, file),
            What::Rebuild { new, backup, papers } => {
                let watch_folder = papers.as_deref().unwrap_or(&config.watch_folder);
                make_anew(config, new, &Sources { backup: backup.as_deref(), watch_folder })
            }
        }
    }
}

fn verify(config: &Config, as_json: bool) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let mut progress = Progress::new("verifying");
    let report = ledger.verify(&mut |done, all| progress.at(done, all))?;
    drop(progress);
    if as_json {
        say_json(&report_json(&report));
        return Ok(code(&report));
    }
    let mut text = counted(&report);
    text.push_str(if report.is_sound() {
        "The ledger is sound.\n"
    } else {
        "The ledger is damaged: keep it as it is and restore a backup beside it.\n"
    });
    say(&text);
    Ok(code(&report))
}

fn back_up(config: &Config, file: &Path) -> Done {
    let ledger = Ledger::read_only(&config.ledger)?;
    let mut progress = Progress::new("copying");
    let report = ledger.back_up(file, &mut |done, all| progress.at(done, all))?;
    drop(progress);
    let mut text = counted(&report);
    let file = file.display();
    text.push_str(&if report.is_sound() {
        format!("{file} is a sound copy of the ledger. Keep it on another disk.\n")
    } else {
        format!("{file} is damaged, and so is the ledger: keep both and make the ledger anew.\n")
    });
    say(&text);
    Ok(code(&report))
}

fn make_anew(config: &Config, new: &Path, sources: &Sources<'_>) -> Done {
    let mut progress = Progress::new("making the ledger anew");
    let rebuilt =
        rebuild(new, config, sources, SystemClock::new().now(), &mut |done, all| progress.at(done, all))?;
    drop(progress);
    say(&rebuilt_text(&rebuilt, new, config));
    let is_whole = rebuilt.unreadable.is_empty() && rebuilt.report.is_sound();
    Ok(ExitCode::from(if is_whole { 0 } else { 20 }))
}

fn rebuilt_text(rebuilt: &Rebuilt, new: &Path, config: &Config) -> String {
    let Rebuilt { from_backup, filed, returned, issued, doubtful, marked, unreadable, jobs, report } =
        rebuilt;
    let mut text = format!(
        "{from_backup} drops from the backup, {filed} more from filed papers, {returned} returned papers,\n\
         {issued} papers issued from the board, {jobs} engines\n"
    );
    for (place, why) in doubtful {
        text.push_str(&format!(
            "  kept on its own word: {place}: {why}; hold it against a copy that was handed over\n"
        ));
    }
    for (place, what) in marked {
        text.push_str(&format!("  taken as it was: {place}: {what}\n"));
    }
    for (place, why) in unreadable {
        text.push_str(&format!("  not read: {place}: {why}\n"));
    }
    text.push_str(&counted(report));
    text.push_str(
        "Letters of the lost ledger are not made again: what is out of limits today counts as told, and shows on the\n\
         board and on the next daily page.\n",
    );
    let (new, ledger) = (new.display(), config.ledger.display());
    text.push_str(&if report.is_sound() {
        format!(
            "{new} is sound. To use it: stop the service, set {ledger} aside with its -wal and -shm, give this file its\n\
             name, start the service.\n"
        )
    } else {
        format!("{new} is damaged; do not use it.\n")
    });
    text
}

fn counted(report: &VerifyReport) -> String {
    let VerifyReport { drops, arrivals, letters, issued, bytes, .. } = report;
    let mut text = format!(
        "{drops} drops, {arrivals} arrivals, {letters} letters, {issued} papers issued, {bytes} bytes read\n"
    );
    for fault in &report.faults {
        text.push_str(&format!("  fault: {fault}\n"));
    }
    if report.more_faults > 0 {
        text.push_str(&format!("  and {} more\n", report.more_faults));
    }
    text
}

fn report_json(report: &VerifyReport) -> Value {
    json!({
        "sound": report.is_sound(), "drops": report.drops, "arrivals": report.arrivals, "letters": report.letters,
        "issued": report.issued, "bytes": report.bytes, "faults": report.faults, "more-faults": report.more_faults,
    })
}

fn code(report: &VerifyReport) -> ExitCode {
    ExitCode::from(if report.is_sound() { 0 } else { 20 })
}
