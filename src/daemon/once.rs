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

/// Looks until what lay still when it came has had its time, and goes on while something is taken in. Then letters
/// get up to `patience` to be delivered. `pause` sleeps; tests may advance a clock instead.
///
/// # Errors
/// The first turn that failed.
pub fn once(
    mut house: House,
    patience: Duration,
    pause: &mut dyn FnMut(Duration),
) -> Result<OnceReport, DaemonError> {
    /// The next look lies a little behind the settle time, so that it is never a hair before it.
    const BEHIND: Duration = Duration::from_millis(20);
    let mut report = OnceReport::default();
    // Set once between takings-in: a paper that changes at every look would else hold the round for ever.
    let mut until = None;
    loop {
        let looked = house.clock.since_start();
        let taken = house.turn()?;
        report.filed += taken.filed;
        report.copies += taken.copies;
        report.returned += taken.returned;
        report.waiting = taken.waiting;
        if taken.filed + taken.copies + taken.returned > 0 {
            until = None;
        }
        if taken.more {
            continue;
        }
        // A turn may take longer than papers take to settle: only a look that began late enough has seen them settled.
        if *until.get_or_insert(taken.settled.unwrap_or(looked)) <= looked {
            break;
        }
        pause(house.config.settle + BEHIND);
    }
    const STEP: Duration = Duration::from_millis(5);
    let mut waited = Duration::ZERO;
    while house.posting() > 0 && waited < patience {
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
