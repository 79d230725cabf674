//! One round without staying: take in what waits, send what is due, and say how it went.

use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use std::time::Duration;

/// How a round went.
#[derive(Clone, Debug, Default)]
pub struct OnceReport {
    /// Papers accepted.
    pub filed: usize,
    /// Papers known already.
    pub copies: usize,
    /// Papers refused.
    pub returned: usize,
    /// Papers that still wait, and why.
    pub waiting: Vec<(String, String)>,
    /// Letters still on their way or to be tried again.
    pub letters_waiting: u64,
}

/// Looks twice, one settle time apart, and goes on while something is taken in. Then letters get up to
/// `patience` to be delivered. `pause` sleeps; tests may advance a clock instead.
///
/// # Errors
/// The first turn that failed.
pub fn once(
    mut house: House,
    patience: Duration,
    pause: &mut dyn FnMut(Duration),
) -> Result<OnceReport, DaemonError> {
    /// The second look lies a little behind the settle time, so that it is never a hair before it.
    const BEHIND: Duration = Duration::from_millis(20);
    let mut report = OnceReport::default();
    let mut looks_without = 0;
    while looks_without < 2 {
        let taken = house.turn()?;
        report.filed += taken.filed;
        report.copies += taken.copies;
        report.returned += taken.returned;
        report.waiting = taken.waiting;
        let took = taken.filed + taken.copies + taken.returned > 0;
        looks_without = if took || taken.more { 0 } else { looks_without + 1 };
        if looks_without < 2 && !taken.more {
            pause(house.config.settle + BEHIND);
        }
    }
    const STEP: Duration = Duration::from_millis(20);
    let mut waited = Duration::ZERO;
    while house.is_posting() && waited < patience {
        pause(STEP);
        waited += STEP;
        house.note()?;
        house.hand_over()?;
    }
    report.letters_waiting = house.ledger.letter_counts()?.waiting;
    house.print_all()?;
    house.close(Duration::from_secs(1))?;
    Ok(report)
}
