//! What is asked of an engine: only what its sheet says, in the scopes that came.

use crate::sheets::Part;
use crate::shop::{Job, PartLife, PartPlace, Said};
use jiff::Timestamp;
use jiff::civil::Date;

/// Every position of the parts in scope that the sheet asks something of.
pub(super) fn parts(
    job: &Job,
    which: fn(&Part) -> bool,
) -> impl Iterator<Item = (PartPlace, &Part, &PartLife)> {
    job.parts.iter().filter_map(move |(place, life)| {
        let part = job.sheet.as_deref()?.parts.get(place.0)?;
        (which(part) && job.concerns(&part.scopes)).then_some((*place, part, life))
    })
}

/// The engine is taken apart here, so leave is asked for, money, and a hand-over. Bare parts that come to be measured
/// and machined have the gates of measuring and machining only.
pub(super) fn comes_apart(job: &Job) -> bool {
    parts(job, |part| part.strip).next().is_some()
}

/// The day on which something was recorded, where it was recorded.
pub(super) fn day(said: &Said) -> Date {
    let written = said.written.get(..10).and_then(|day| day.parse().ok());
    written.unwrap_or_else(|| date(said.at))
}

/// The day of an instant, in UTC.
pub(super) fn date(at: Timestamp) -> Date {
    jiff::tz::TimeZone::UTC.to_datetime(at).date()
}
