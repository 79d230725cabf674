//! How things are, seen from outside the service: what `status` says.
//!
//! Nothing here trusts the service's own word alone. Its last sign is held against the clock, the folder is looked
//! at, the ledger is opened and read, the disk is asked for its room; each is asked apart, so that one that is broken
//! does not hide the others.

use crate::config::Config;
use crate::daemon::gather::local;
use crate::daemon::vital::Sign;
use crate::facts::Role;
use crate::intake::papers_in_drop;
use crate::ledger::Ledger;
use jiff::Timestamp;
use std::path::Path;

/// A service turns every five seconds at least; a sign older than this is no longer one of life.
const OLD: i64 = 60_000;

/// Letters wait for a relay now and then; longer than this somebody should know.
const LETTERS_WAIT: i64 = 3_600_000;

/// Less room than this on a disk is soon none.
const LITTLE_ROOM: u64 = 256 * 1024 * 1024;

/// One thing that was looked at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// What was looked at: `service`, `watch folder`, `ledger`, `room`, `letters`, `daily page`.
    pub about: &'static str,
    /// How it is, in a sentence.
    pub says: String,
    /// Somebody has to do something about it.
    pub is_wrong: bool,
}

/// Looks at everything a shop rests on.
#[must_use]
pub fn health(config: &Config, now: Timestamp) -> Vec<Finding> {
    let mut findings = vec![service(config, now), watch_folder(config)];
    match Ledger::read_only(&config.ledger).map_err(|error| with_causes(&error)) {
        Ok(ledger) => findings.extend(record(&ledger, config, now)),
        Err(why) => findings.push(wrong("ledger", why)),
    }
    findings.push(room("the ledger", &config.ledger));
    findings.push(room("the watch folder", &config.watch_folder));
    findings
}

fn well(about: &'static str, says: String) -> Finding {
    Finding { about, says, is_wrong: false }
}

fn wrong(about: &'static str, says: String) -> Finding {
    Finding { about, says, is_wrong: true }
}

fn with_causes(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(error) = cause {
        text.push_str(&format!(": {error}"));
        cause = error.source();
    }
    text
}

fn service(config: &Config, now: Timestamp) -> Finding {
    let about = "service";
    let Some(sign) = Sign::read(&config.ledger) else {
        return wrong(about, "has never run on this ledger; start it with `run`".to_owned());
    };
    let age = now.as_millisecond() - sign.turned;
    let at = local(&config.zone, sign.turned);
    let Sign { process, version, waiting, watching, .. } = &sign;
    if sign.ended {
        return wrong(about, format!("was ended at {at}; start it with `run`"));
    }
    // A clock that was set back makes a sign lie ahead; one that lies far ahead says nothing.
    if !(-OLD..=OLD).contains(&age) {
        return wrong(
            about,
            format!(
                "gave its last sign at {at}: it has been killed or hangs (process {process}); look at its log and start it again"
            ),
        );
    }
    let running = format!(
        "version {version} runs since {} (process {process}), last turn {} s ago, {watching}; {waiting} files wait",
        local(&config.zone, sign.started),
        (age / 1000).max(0)
    );
    match sign.trouble {
        Some(trouble) => wrong(about, format!("{running}. It cannot work: {trouble}")),
        None => well(about, running),
    }
}

fn watch_folder(config: &Config) -> Finding {
    let about = "watch folder";
    match papers_in_drop(&config.watch_folder) {
        Ok(papers) => well(about, format!("there, {papers} files in drop")),
        Err(error) => wrong(about, with_causes(&error)),
    }
}

/// What the ledger says, each part asked apart.
fn record(ledger: &Ledger, config: &Config, now: Timestamp) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut ask = |about: &'static str, answer: crate::ledger::Result<Finding>| {
        findings.push(answer.unwrap_or_else(|error| wrong(about, with_causes(&error))));
    };
    ask("ledger", counted(ledger, config));
    ask("letters", letters(ledger, config, now));
    ask("daily page", daily_page(ledger, config, now));
    findings
}

fn counted(ledger: &Ledger, config: &Config) -> crate::ledger::Result<Finding> {
    let counts = ledger.fold_counts()?;
    // The newest rows are read as well: counts alone come from one page.
    let last = ledger.arrivals(100)?.len();
    let mut says = format!(
        "opens and reads; drops: {}, engines: {}, arrivals: {} (the last {last} read; `ledger verify` reads all)",
        counts.drops, counts.jobs, counts.arrivals
    );
    let sign = Sign::read(&config.ledger);
    let is_wrong = sign.as_ref().is_some_and(|sign| sign.ledger_damaged);
    if let Some(found) = sign.and_then(|sign| sign.ledger) {
        says.push_str(&format!("; {found}"));
    }
    Ok(Finding { about: "ledger", says, is_wrong })
}

fn letters(ledger: &Ledger, config: &Config, now: Timestamp) -> crate::ledger::Result<Finding> {
    let counts = ledger.letter_counts()?;
    let first = ledger.undelivered(100)?;
    let waits_since = first.iter().filter(|letter| letter.attempts > 0).map(|letter| letter.created).min();
    let mut says = format!("{} sent, {} wait, {} given up", counts.sent, counts.waiting, counts.dead);
    if let Some(letter) = first.iter().find(|letter| !letter.last_text.is_empty()) {
        says.push_str(&format!("; last word on the one to {}: {}", letter.recipient, letter.last_text));
    }
    let late = waits_since.filter(|since| now.as_millisecond() - since > LETTERS_WAIT);
    if let Some(since) = late {
        says.push_str(&format!("; the oldest waits since {}", local(&config.zone, since)));
    }
    Ok(Finding { about: "letters", says, is_wrong: counts.dead > 0 || late.is_some() })
}

fn daily_page(ledger: &Ledger, config: &Config, now: Timestamp) -> crate::ledger::Result<Finding> {
    let about = "daily page";
    let Ok(shop) = super::shop_of(ledger) else {
        return Ok(wrong(about, "the shop's own drops cannot be read; run `ledger verify`".to_owned()));
    };
    if shop.letters_to(Role::Owner).is_empty() {
        return Ok(wrong(
            about,
            "nobody is the owner with a mail address: drop a people file with one".to_owned(),
        ));
    }
    Ok(match ledger.last_summary()? {
        None => well(about, "none yet".to_owned()),
        Some(mark) => {
            let yesterday = config.zone.to_datetime(now).date().yesterday().ok();
            let is_old = mark
                .date
                .parse()
                .ok()
                .zip(yesterday)
                .is_some_and(|(last, before): (jiff::civil::Date, _)| last < before);
            Finding { about, says: format!("last for {}", mark.date), is_wrong: is_old }
        }
    })
}

/// Free room on the disk of a place.
fn room(what: &str, place: &Path) -> Finding {
    let about = "room";
    let folder = place.ancestors().find(|path| path.is_dir()).unwrap_or(Path::new("."));
    match rustix::fs::statvfs(folder) {
        Ok(disk) => {
            let free = disk.f_bavail.saturating_mul(disk.f_frsize);
            let says = format!("{} MB free on the disk of {what}", free / 1_000_000);
            Finding { about, says, is_wrong: free < LITTLE_ROOM }
        }
        Err(error) => wrong(about, format!("the disk of {what} cannot be asked: {error}")),
    }
}
