//! The shop's gauges as they stand: when each is due, and which were found bad.

use crate::facts::Day;
use crate::sheets::same_name;
use crate::shop::gauge_life::{Event, Life};
use jiff::civil::Date;

/// One gauge as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GaugeNow {
    /// Its mark, as the shop writes it.
    pub mark: String,
    /// Kind of instrument.
    pub instrument: String,
    /// Mark of the gauge it is set from, as last said; `None` where it stands by itself.
    pub set_by: Option<String>,
    /// When its calibration is due again; `None` where nobody said.
    pub due: Option<Day>,
    /// Since when it is bad, as written, and why; a later calibration mends it.
    pub bad: Option<(String, String)>,
}

impl GaugeNow {
    /// Its calibration was due before this day.
    #[must_use]
    pub fn is_overdue(&self, today: Date) -> bool {
        self.due.is_some_and(|due| due.0 < today)
    }

    /// `None` of a gauge of which nothing was said.
    pub(super) fn of(life: &Life) -> Option<Self> {
        let last = life.entries.last()?;
        let (mark, instrument) = (last.mark.clone(), last.instrument.clone());
        // One that is said to be set from itself stands by itself.
        let set_by = last.set_by.clone().filter(|from| !same_name(from, &mark));
        let mut now = Self { mark, instrument, set_by, due: None, bad: None };
        for entry in &life.entries {
            match &entry.event {
                Event::Calibrated(calibrated, _) => {
                    now.due = Some(calibrated.due);
                    now.bad = None;
                }
                Event::Bad(since, why) => now.bad = Some((since.written().to_owned(), why.clone())),
                Event::Described | Event::Zero(..) => {}
            }
        }
        Some(now)
    }
}
