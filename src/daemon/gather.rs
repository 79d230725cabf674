//! Gathering what pages and commands show, from the ledger.

use crate::daemon::error::DaemonError;
use crate::daemon::issued::issued_of;
use crate::daemon::shop_wide::{ShopWide, read};
use crate::daemon::summary::summary_of;
use crate::facts::JobKey;
use crate::ledger::{ArrivalInfo, Ledger, LetterInfo, LetterState};
use crate::notices::{Due, summary_page};
use crate::pages::{ArrivalLine, Arrivals, Board, BoardRow, Gauges, JobView, WaitingLine};
use crate::respond::view;
use crate::shop::{FactSet, Shop};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::sync::Arc;

/// Arrivals shown on their page.
const ARRIVALS_SHOWN: usize = 500;

/// Undelivered letters shown on the arrivals page.
const LETTERS_SHOWN: usize = 100;

/// What arrived, what waits and what is held; `waiting` comes from the folder.
pub(super) fn arrivals_of(
    ledger: &Ledger,
    shop: &Shop,
    zone: &TimeZone,
    waiting: &[(String, String)],
    rows: &[Arc<BoardRow>],
    now: Timestamp,
) -> Result<Arrivals, DaemonError> {
    let held = rows.iter().flat_map(|row| row.held.iter().map(|why| (row.written.clone(), why.clone())));
    let shop_held = shop.held.iter().map(|held| ("shop".to_owned(), format!("{}: {}", held.kind, held.why)));
    let letters = ledger.undelivered(LETTERS_SHOWN)?.into_iter();
    let letter_line = |letter: LetterInfo| {
        let state = if letter.state == LetterState::Dead { "given up" } else { "waiting" };
        (letter.recipient, format!("{state}, {} tries. {}", letter.attempts, letter.last_text))
    };
    let waiting = waiting.iter().map(|(name, why)| WaitingLine { name: name.clone(), why: why.clone() });
    Ok(Arrivals {
        written: local(zone, now.as_millisecond()),
        lines: ledger.arrivals(ARRIVALS_SHOWN)?.iter().map(|a| arrival_line(a, zone)).collect(),
        waiting: waiting.collect(),
        held: held.chain(shop_held).collect(),
        letters: letters.map(letter_line).collect(),
    })
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
pub(super) fn local(zone: &TimeZone, milliseconds: i64) -> String {
    let instant = Timestamp::from_millisecond(milliseconds).unwrap_or(Timestamp::UNIX_EPOCH);
    zone.to_datetime(instant).strftime("%Y-%m-%d %H:%M").to_string()
}

pub(super) fn rows_of(ledger: &Ledger) -> Result<Vec<BoardRow>, DaemonError> {
    Ok(ledger.board_rows()?.iter().filter_map(|row| serde_json::from_str(row).ok()).collect())
}

/// The page of what the daily letter says, from the rows of all engines.
pub(super) fn today_with(
    ledger: &Ledger,
    shop: &Shop,
    zone: &TimeZone,
    rows: Vec<Arc<BoardRow>>,
    now: Timestamp,
) -> Result<String, DaemonError> {
    let back = i64::try_from(ARRIVALS_SHOWN).unwrap_or(i64::MAX);
    let (input, _) = summary_of(ledger, shop, rows, back)?;
    let date = zone.to_datetime(now).date();
    Ok(summary_page(&input, &Due { from: date, date }, zone))
}

/// The board from a ledger's rows.
///
/// # Errors
/// The ledger cannot be read.
pub fn board_of(ledger: &Ledger, shop: &Shop, zone: &TimeZone, now: Timestamp) -> Result<Board, DaemonError> {
    let rows = rows_of(ledger)?.into_iter().map(Arc::new).collect();
    board_with(ledger, shop, zone, rows, now)
}

/// The board with rows that are in memory.
pub(super) fn board_with(
    ledger: &Ledger,
    shop: &Shop,
    zone: &TimeZone,
    rows: Vec<Arc<BoardRow>>,
    now: Timestamp,
) -> Result<Board, DaemonError> {
    let mut warnings = Vec::new();
    if !shop.people().iter().any(|person| person.mail.is_some()) {
        warnings.push(
            "Nobody has a mail address: alerts reach no one. Drop a people file with a mail for the owner."
                .to_owned(),
        );
    }
    let dead = ledger.letters_given_up()?;
    if dead > 0 {
        warnings
            .push(format!("{dead} letters could not be delivered and were given up; see the arrivals page."));
    }
    warnings.extend(shop.held.iter().map(|held| format!("Shop, {}: {}.", held.kind, held.why)));
    Ok(Board {
        site: ledger.site().to_owned(),
        written: local(zone, now.as_millisecond()),
        now: now.as_millisecond(),
        today: zone.to_datetime(now).date(),
        rows,
        warnings,
    })
}

/// The gauges and what rests on them.
///
/// # Errors
/// The ledger cannot be read.
pub fn gauges_of(
    ledger: &Ledger,
    shop: &Shop,
    zone: &TimeZone,
    now: Timestamp,
) -> Result<Gauges, DaemonError> {
    let rows = rows_of(ledger)?.into_iter().map(Arc::new).collect();
    Ok(gauges_with(shop, zone, rows, now))
}

/// The same with rows that are in memory.
pub(super) fn gauges_with(shop: &Shop, zone: &TimeZone, rows: Vec<Arc<BoardRow>>, now: Timestamp) -> Gauges {
    Gauges { gauges: shop.gauges(), studies: shop.studies(), rows, today: zone.to_datetime(now).date() }
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
pub fn view_of(ledger: &Ledger, key: &JobKey) -> Result<Option<JobView>, DaemonError> {
    let mut set = FactSet::default();
    for stored in ledger.drops_of(&key.to_string())? {
        set.insert(read(&stored.bytes, ledger.site())?);
    }
    let shop = shop_of(ledger)?;
    let issued = issued_of(key, ledger)?;
    Ok((!set.is_empty()).then(|| JobView { issued, ..view(key, &set, &shop) }))
}
