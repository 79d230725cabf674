//! `once`: a single round, for a shop that starts it from a timer.

use super::Done;
use super::speak::{say, start_log};
use crate::clock::SystemClock;
use crate::config::Config;
use crate::daemon::{House, Setup, Uninterrupted, once};
use std::sync::Arc;
use std::time::Duration;

/// Letters get this long to be delivered; what is not stays in the ledger for the next round.
const FOR_LETTERS: Duration = Duration::from_secs(60);

pub(super) fn execute(config: Config, log_json: bool) -> Done {
    start_log(log_json);
    let setup = Setup {
        clock: Arc::new(SystemClock::new()),
        wake: Arc::new(|| {}),
        steps: Box::new(Uninterrupted),
        patient: false,
    };
    let house = House::open(config, setup)?;
    let report = once(house, FOR_LETTERS, &mut |wait| std::thread::sleep(wait))?;
    let mut text = format!(
        "{} filed, {} copies, {} returned, {} waiting",
        report.filed,
        report.copies,
        report.returned,
        report.waiting.len()
    );
    if report.letters_waiting > 0 {
        text.push_str(&format!(", {} letters not delivered yet", report.letters_waiting));
    }
    text.push('\n');
    for (name, why) in &report.waiting {
        text.push_str(&format!("  waiting: {name}: {why}\n"));
    }
    say(&text);
    Ok(super::returned_or_waiting(report.returned > 0, !report.waiting.is_empty()))
}
