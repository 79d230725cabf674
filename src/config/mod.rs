//! The configuration: addresses, paths and times of day, from one TOML file.
//!
//! Nothing here can change a verdict; whatever can is a fact and is dropped. Unknown keys are refused, all of
//! them at once, each with the nearest known name. Paths are taken relative to the file. The password of the
//! mail relay is never in the file: it comes from a file of its own or from the environment.
//!
//! This module reads one file and one environment variable and opens nothing else.

mod file;
mod keys;
mod listening;

pub use listening::{Certificate, Listening};

use crate::outbox::{Relay, Route, Secret, Security};
use jiff::civil::Time;
use jiff::tz::TimeZone;
use std::fmt;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The environment variable that may hold the relay's password.
pub const PASSWORD_VARIABLE: &str = "BENCHDROP_SMTP_PASSWORD";

/// The settings of one shop, checked.
#[derive(Debug)]
pub struct Config {
    /// The site of this ledger, stamped on bare job numbers.
    pub site: String,
    /// The shop's zone.
    pub zone: TimeZone,
    /// When the daily summary is due, local.
    pub summary_at: Time,
    /// The watch folder.
    pub watch_folder: PathBuf,
    /// The ledger file.
    pub ledger: PathBuf,
    /// How long a paper must lie still.
    pub settle: Duration,
    /// How long an unfinished paper may stay so.
    pub grace: Duration,
    /// Listen to the file system beside scanning it.
    pub watch: bool,
    /// Sender address of letters.
    pub from: String,
    /// Sender name of letters.
    pub from_name: String,
    /// Where letters go.
    pub route: Route,
    /// How the drop point listens; `None` where there is none.
    pub drop_point: Option<Listening>,
}

/// Why a configuration cannot be used; every reason at once.
#[derive(Debug)]
pub struct ConfigError {
    path: PathBuf,
    reasons: Vec<String>,
}

impl fmt::Display for ConfigError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the configuration {} cannot be used:", self.path.display())?;
        for reason in &self.reasons {
            write!(f, "\n  {reason}")?;
        }
        Ok(())
    }
}

impl std::error::Error for ConfigError {}

impl Config {
    /// Reads and checks the file.
    ///
    /// # Errors
    /// The file cannot be read or is no TOML, and every unknown key and unusable value.
    pub fn read(path: &Path) -> Result<Self, ConfigError> {
        let fail = |reasons| ConfigError { path: path.to_owned(), reasons };
        let text =
            std::fs::read_to_string(path).map_err(|error| fail(vec![format!("reading it: {error}")]))?;
        let base = path.parent().unwrap_or(Path::new("."));
        Self::parse(&text, base).map_err(fail)
    }

    /// Checks a text; paths are taken relative to `base`.
    ///
    /// # Errors
    /// Every reason why it cannot be used.
    pub fn parse(text: &str, base: &Path) -> Result<Self, Vec<String>> {
        let table: toml::Table = text.parse().map_err(|error: toml::de::Error| vec![error.to_string()])?;
        let mut reasons = keys::unknown(&table);
        if !reasons.is_empty() {
            return Err(reasons);
        }
        let file: file::File = table.try_into().map_err(|error: toml::de::Error| vec![error.to_string()])?;
        let config = checked(file, base, &mut reasons);
        if reasons.is_empty() { Ok(config) } else { Err(reasons) }
    }
}

fn checked(file: file::File, base: &Path, reasons: &mut Vec<String>) -> Config {
    let zone = TimeZone::get(&file.timezone).unwrap_or_else(|_| {
        reasons.push(format!(
            "timezone {:?}: not a zone of the time zone database; for example \"Europe/Berlin\"",
            file.timezone
        ));
        TimeZone::UTC
    });
    let summary_at = file.summary_at.parse::<Time>().unwrap_or_else(|_| {
        reasons.push(format!("summary-at {:?}: not a time of day; for example \"07:00\"", file.summary_at));
        Time::midnight()
    });
    if file.site.is_empty() || !file.site.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-') {
        reasons.push(format!("site {:?}: letters, digits and hyphens, at least one", file.site));
    }
    let mut seconds = |key: &str, value: f64| {
        // TOML knows infinity, and what is no number.
        if (0.01..=86_400.0).contains(&value) {
            return Duration::from_secs_f64(value);
        }
        reasons.push(format!("intake.{key} {value}: between 0.01 and 86400 seconds"));
        Duration::ZERO
    };
    let (settle, grace) = (
        seconds("settle-seconds", file.intake.settle_seconds),
        seconds("grace-seconds", file.intake.grace_seconds),
    );
    let route = route(&file.letters, base, reasons);
    if !is_address(&file.letters.from) {
        reasons.push(format!(
            "letters.from {:?}: a mail address in ASCII; for example \"benchdrop@shop.example\"",
            file.letters.from
        ));
    }
    let drop_point = file.drop_point.as_ref().and_then(|written| listening::checked(written, base, reasons));
    Config {
        site: file.site,
        zone,
        summary_at,
        watch_folder: base.join(file.watch_folder),
        ledger: base.join(file.ledger),
        settle,
        grace,
        watch: file.intake.watch,
        from: file.letters.from,
        from_name: file.letters.from_name,
        route,
        drop_point,
    }
}

fn is_address(text: &str) -> bool {
    let shape = text
        .split_once('@')
        .is_some_and(|(local, domain)| !local.is_empty() && !domain.is_empty() && !domain.contains('@'));
    shape && text.bytes().all(|b| b.is_ascii_graphic())
}

fn route(letters: &file::Letters, base: &Path, reasons: &mut Vec<String>) -> Route {
    let folder = Route::Folder(base.join(&letters.folder));
    match (letters.to.as_str(), &letters.smtp) {
        ("folder", _) => folder,
        ("smtp", Some(smtp)) => relay(smtp, base, reasons).map_or(folder, Route::Smtp),
        ("smtp", None) => {
            reasons.push("letters.to is \"smtp\", but there is no [letters.smtp]".to_owned());
            folder
        }
        (other, _) => {
            reasons.push(format!("letters.to {other:?}: \"folder\" or \"smtp\""));
            folder
        }
    }
}

fn relay(smtp: &file::Smtp, base: &Path, reasons: &mut Vec<String>) -> Option<Relay> {
    let security = match smtp.security.as_str() {
        "starttls" => Security::StartTls,
        "implicit-tls" => Security::ImplicitTls,
        "plain-loopback" => Security::PlainLoopback,
        other => {
            reasons.push(format!(
                "letters.smtp.security {other:?}: \"implicit-tls\", \"starttls\" or \"plain-loopback\""
            ));
            return None;
        }
    };
    let mut relay = Relay::new(smtp.host.clone(), smtp.port, security);
    relay.extra_root = smtp.extra_root.as_ref().map(|path| base.join(path));
    if let Some(user) = &smtp.user {
        match password(smtp.password_file.as_deref(), base) {
            Ok(password) => relay.login = Some((user.clone(), password)),
            Err(reason) => reasons.push(reason),
        }
    }
    Some(relay)
}

/// From the named file, else from the environment; never from the configuration.
fn password(file: Option<&Path>, base: &Path) -> Result<Secret, String> {
    if let Some(path) = file {
        let text = std::fs::read_to_string(base.join(path))
            .map_err(|error| format!("letters.smtp.password-file {}: {error}", path.display()))?;
        return Ok(Secret::new(text.trim_end_matches(['\r', '\n'])));
    }
    #[expect(clippy::disallowed_methods, reason = "the one secret, read in the one place that may")]
    let variable = std::env::var(PASSWORD_VARIABLE);
    variable.map(Secret::new).map_err(|_| {
        format!("letters.smtp.user is set: give its password in letters.smtp.password-file or in {PASSWORD_VARIABLE}")
    })
}

#[cfg(test)]
mod tests;
