//! Pages on disk: which changed, and writing them so that a reader never sees half a page.

use crate::config::Config;
use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::shop_wide::{ShopWide, read};
use crate::daemon::steps::Step;
use crate::daemon::take_in::Taken;
use crate::facts::JobKey;
use crate::intake::BOARD;
use crate::ledger::{ArrivalInfo, Ledger, LetterState};
use crate::pages::{ArrivalLine, Arrivals, Board, BoardRow, WaitingLine, arrivals, board, job_page};
use crate::respond::view;
use crate::shop::Shop;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;
use std::time::Duration;

/// Pages are written anew at most this often.
const AT_MOST_EVERY: Duration = Duration::from_secs(2);

/// Arrivals shown on their page.
const ARRIVALS_SHOWN: usize = 500;

/// Undelivered letters shown on the arrivals page.
const LETTERS_SHOWN: usize = 100;

/// What has changed since pages were last written.
pub(super) struct Press {
    zone: TimeZone,
    jobs: BTreeSet<JobKey>,
    lists: bool,
    waiting: Vec<(String, String)>,
    written: Option<Duration>,
}

impl Press {
    pub(super) fn new(config: &Config) -> Self {
        // At the start the lists are written, so that an old page does not pass for a new one.
        Self {
            zone: config.zone.clone(),
            jobs: BTreeSet::new(),
            lists: true,
            waiting: Vec::new(),
            written: None,
        }
    }

    pub(super) fn job_changed(&mut self, key: &JobKey) {
        self.jobs.insert(key.clone());
        self.lists = true;
    }

    pub(super) fn shop_changed(&mut self) {
        self.lists = true;
    }

    pub(super) fn letters_changed(&mut self) {
        self.lists = true;
    }

    pub(super) fn arrived(&mut self, taken: &Taken) {
        let settled: Vec<(String, String)> = taken.waiting.clone();
        self.lists |= taken.filed + taken.copies + taken.returned > 0 || settled != self.waiting;
        self.waiting = settled;
    }

    /// `2026-11-25` and `083015` in the shop's zone.
    pub(super) fn date_and_time(&self, now: Timestamp) -> (String, String) {
        let local = self.zone.to_datetime(now);
        (local.date().to_string(), local.strftime("%H%M%S").to_string())
    }

    /// When pages that changed should be written at the latest, monotonic.
    pub(super) fn due(&self) -> Option<Duration> {
        (self.lists || !self.jobs.is_empty())
            .then(|| self.written.map_or(Duration::ZERO, |last| last + AT_MOST_EVERY))
    }
}

impl House {
    /// Writes the pages that changed, unless that was done a moment ago and `now_or_never` is false.
    pub(super) fn print(&mut self, now_or_never: bool) -> Result<(), DaemonError> {
        let now = self.clock.since_start();
        if self.press.due().is_none_or(|due| due > now && !now_or_never) {
            return Ok(());
        }
        self.press.written = Some(now);
        match self.write_pages() {
            Ok(()) => {
                self.press.jobs.clear();
                self.press.lists = false;
                self.after(Step::Printed)
            }
            Err(PageError::Page(path, error)) => {
                // Pages can be made again at any time; the folder may be away.
                tracing::warn!(%path, %error, "a page cannot be written; it is tried again");
                Ok(())
            }
            Err(PageError::Daemon(error)) => Err(error),
        }
    }

    fn write_pages(&mut self) -> Result<(), PageError> {
        let folder = self.config.watch_folder.join(BOARD);
        let jobs = folder.join("jobs");
        fs::create_dir_all(&jobs).map_err(|error| PageError::Page(jobs.display().to_string(), error))?;
        let keys: Vec<JobKey> = self.press.jobs.iter().cloned().collect();
        for key in keys {
            let job = self.jobs.take(&key, &self.ledger, &self.config.site)?;
            let page = job_page(&view(&key, &job.set, &self.shop.shop));
            self.jobs.put(key.clone(), job);
            write_page(&jobs, &format!("{}.html", key.slug()), &page)?;
        }
        let now = self.clock.now();
        let board_page = board(&board_of(&self.ledger, &self.shop.shop, &self.press.zone, now)?);
        write_page(&folder, "board.html", &board_page)?;
        let arrived = arrivals(&self.arrivals_of(now)?);
        write_page(&folder, "arrivals.html", &arrived)
    }

    fn arrivals_of(&self, now: Timestamp) -> Result<Arrivals, DaemonError> {
        let rows = rows_of(&self.ledger)?;
        let held = rows.iter().flat_map(|row| row.held.iter().map(|why| (row.written.clone(), why.clone())));
        let shop_held = self
            .shop
            .shop
            .held
            .iter()
            .map(|held| ("shop".to_owned(), format!("{}: {}", held.kind, held.why)));
        let letters = self.ledger.undelivered(LETTERS_SHOWN)?.into_iter();
        let letter_line = |letter: crate::ledger::LetterInfo| {
            let state = if letter.state == LetterState::Dead { "given up" } else { "waiting" };
            (letter.recipient, format!("{state}, {} tries. {}", letter.attempts, letter.last_text))
        };
        let waiting =
            self.press.waiting.iter().map(|(name, why)| WaitingLine { name: name.clone(), why: why.clone() });
        Ok(Arrivals {
            written: local(&self.press.zone, now.as_millisecond()),
            lines: self
                .ledger
                .arrivals(ARRIVALS_SHOWN)?
                .iter()
                .map(|a| arrival_line(a, &self.press.zone))
                .collect(),
            waiting: waiting.collect(),
            held: held.chain(shop_held).collect(),
            letters: letters.map(letter_line).collect(),
        })
    }
}

fn arrival_line(arrival: &ArrivalInfo, zone: &TimeZone) -> ArrivalLine {
    let about = match (&arrival.kind, &arrival.job) {
        (Some(kind), Some(job)) if job.is_empty() => kind.clone(),
        (Some(kind), Some(job)) => format!("{kind}, {job}"),
        (Some(kind), None) => kind.clone(),
        (None, _) => String::new(),
    };
    ArrivalLine {
        at: local(zone, arrival.at),
        name: arrival.name.clone(),
        outcome: arrival.outcome.word().to_owned(),
        about,
        hash: arrival.hash.map(|hash| (hash.short(), hash.hex())),
        place: arrival.place.clone(),
        slip: arrival.slip.clone(),
        remark: arrival.remark.clone(),
    }
}

/// `2026-11-25 08:30` in the shop's zone.
fn local(zone: &TimeZone, milliseconds: i64) -> String {
    let instant = Timestamp::from_millisecond(milliseconds).unwrap_or(Timestamp::UNIX_EPOCH);
    zone.to_datetime(instant).strftime("%Y-%m-%d %H:%M").to_string()
}

pub(super) fn rows_of(ledger: &Ledger) -> Result<Vec<BoardRow>, DaemonError> {
    Ok(ledger.job_rows()?.iter().filter_map(|row| serde_json::from_str(&row.row).ok()).collect())
}

/// The board from a ledger's rows.
///
/// # Errors
/// The ledger cannot be read.
pub fn board_of(ledger: &Ledger, shop: &Shop, zone: &TimeZone, now: Timestamp) -> Result<Board, DaemonError> {
    let mut warnings = Vec::new();
    if !shop.people().iter().any(|person| person.mail.is_some()) {
        warnings.push(
            "Nobody has a mail address: alerts reach no one. Drop a people file with a mail for the owner."
                .to_owned(),
        );
    }
    let counts = ledger.letter_counts()?;
    if counts.dead > 0 {
        warnings.push(format!(
            "{} letters could not be delivered and were given up; see the arrivals page.",
            counts.dead
        ));
    }
    warnings.extend(shop.held.iter().map(|held| format!("Shop, {}: {}.", held.kind, held.why)));
    let rows = rows_of(ledger)?;
    Ok(Board {
        site: ledger.site().to_owned(),
        written: local(zone, now.as_millisecond()),
        now: now.as_millisecond(),
        rows,
        warnings,
    })
}

/// The shop-wide things of a ledger, folded; for commands that read.
///
/// # Errors
/// The ledger cannot be read.
pub fn shop_of(ledger: &Ledger) -> Result<Shop, DaemonError> {
    Ok(ShopWide::load(ledger, ledger.site())?.shop)
}

/// A job's view from a ledger; for commands that read. `None` when the ledger has no drop of it.
///
/// # Errors
/// The ledger cannot be read.
pub fn view_of(ledger: &Ledger, key: &JobKey) -> Result<Option<crate::pages::JobView>, DaemonError> {
    let mut set = crate::shop::FactSet::default();
    for stored in ledger.drops_of(&key.to_string())? {
        set.insert(read(&stored.bytes, ledger.site())?);
    }
    let shop = shop_of(ledger)?;
    Ok((!set.is_empty()).then(|| view(key, &set, &shop)))
}

enum PageError {
    Page(String, io::Error),
    Daemon(DaemonError),
}

impl<E: Into<DaemonError>> From<E> for PageError {
    fn from(error: E) -> Self {
        Self::Daemon(error.into())
    }
}

/// Temporary name, sync, rename: a reader sees the old page or the new one.
fn write_page(folder: &Path, name: &str, text: &str) -> Result<(), PageError> {
    let path = folder.join(name);
    let part = folder.join(format!(".{name}.part"));
    let write = || -> io::Result<()> {
        let mut file = File::create(&part)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::rename(&part, &path)
    };
    write().map_err(|error| PageError::Page(path.display().to_string(), error))
}
