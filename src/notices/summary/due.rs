//! On which local dates a summary is due.

use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan as _};

/// A summary that is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Due {
    /// First local date it covers.
    pub from: Date,
    /// The local date it is done for; all dates up to it are done with it.
    pub date: Date,
}

/// A longer absence than this is not caught up day by day in words.
const MOST_DAYS: i32 = 14;

/// Which dates are due: every local date after the last done one whose hour has come, as one summary. The
/// hour on a date is the one wall clocks show: in a gap the time after it, in a fold the first. A date that
/// a place skips altogether counts with the next. Nothing is due on a clock that stands before the last done date.
#[must_use]
pub fn due(now: Timestamp, zone: &TimeZone, at: Time, last_done: Option<Date>) -> Option<Due> {
    let today = zone.to_datetime(now).date();
    let has_come = |date: Date| {
        let instant = zone.to_ambiguous_timestamp(date.to_datetime(at)).compatible();
        instant.is_ok_and(|instant| instant <= now)
    };
    let date =
        if has_come(today) { today } else { today.checked_sub(1.day()).ok().filter(|day| has_come(*day))? };
    let first = match last_done {
        Some(done) if done >= date => return None,
        Some(done) => done.checked_add(1.day()).ok()?,
        None => date,
    };
    let earliest = date.checked_sub(MOST_DAYS.days()).unwrap_or(first);
    Some(Due { from: first.max(earliest), date })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn zone(name: &str) -> TimeZone {
        TimeZone::get(name).expect("bundled")
    }

    fn at(text: &str) -> Timestamp {
        text.parse().expect("time")
    }

    const SEVEN: Time = Time::constant(7, 0, 0, 0);

    #[test]
    fn once_a_local_date() {
        let berlin = zone("Europe/Berlin");
        assert_eq!(
            due(at("2026-03-02T05:59:00Z"), &berlin, SEVEN, Some(date(2026, 3, 1))),
            None,
            "06:59 local"
        );
        let found =
            due(at("2026-03-02T06:00:00Z"), &berlin, SEVEN, Some(date(2026, 3, 1))).expect("07:00 local");
        assert_eq!(found, Due { from: date(2026, 3, 2), date: date(2026, 3, 2) });
        assert_eq!(due(at("2026-03-02T20:00:00Z"), &berlin, SEVEN, Some(date(2026, 3, 2))), None);
        assert_eq!(
            due(at("2026-03-01T20:00:00Z"), &berlin, SEVEN, Some(date(2026, 3, 2))),
            None,
            "clock went back"
        );
    }

    /// Downtime over several dates gives one summary of the range; more than fourteen days are capped.
    #[test]
    fn downtime_is_one_summary() {
        let berlin = zone("Europe/Berlin");
        let found = due(at("2026-03-06T12:00:00Z"), &berlin, SEVEN, Some(date(2026, 3, 2))).expect("due");
        assert_eq!(found, Due { from: date(2026, 3, 3), date: date(2026, 3, 6) });
        let long = due(at("2026-06-06T12:00:00Z"), &berlin, SEVEN, Some(date(2026, 3, 2))).expect("due");
        assert_eq!(long.from, date(2026, 5, 23));
        let early =
            due(at("2026-03-06T01:00:00Z"), &berlin, SEVEN, Some(date(2026, 3, 4))).expect("yesterday's");
        assert_eq!(early.date, date(2026, 3, 5));
    }

    /// reliability notes 6.2 (checked there with jiff): the gap of 2027-03-28 and the fold of 2026-10-25 in
    /// Berlin, a midnight that does not exist in Sao Paulo, a date that Apia skipped.
    #[test]
    fn daylight_saving_and_missing_dates() {
        let half_past_two = Time::constant(2, 30, 0, 0);
        let berlin = zone("Europe/Berlin");
        assert_eq!(due(at("2027-03-28T01:29:00Z"), &berlin, half_past_two, Some(date(2027, 3, 27))), None);
        assert!(
            due(at("2027-03-28T01:30:00Z"), &berlin, half_past_two, Some(date(2027, 3, 27))).is_some(),
            "03:30+02"
        );
        let first = due(at("2026-10-25T00:30:00Z"), &berlin, half_past_two, Some(date(2026, 10, 24)));
        assert_eq!(first.expect("the first 02:30").date, date(2026, 10, 25));
        assert_eq!(
            due(at("2026-10-25T01:30:00Z"), &berlin, half_past_two, Some(date(2026, 10, 25))),
            None,
            "the second"
        );
        let sao_paulo = zone("America/Sao_Paulo");
        assert!(
            due(at("2018-11-04T03:00:00Z"), &sao_paulo, Time::midnight(), Some(date(2018, 11, 3))).is_some()
        );
        let apia = zone("Pacific/Apia");
        let skipped =
            due(at("2011-12-30T18:00:00Z"), &apia, SEVEN, Some(date(2011, 12, 29))).expect("the 31st");
        assert_eq!(skipped, Due { from: date(2011, 12, 30), date: date(2011, 12, 31) });
    }
}
