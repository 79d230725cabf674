//! The only place that asks what time it is.
//!
//! Everything else gets its time as an argument (promise 3 stands on that: a state never depends on when it
//! was worked out). The loop holds one [`Clock`], asks it, and passes the answer on.
//!
//! Two times, because they answer two questions. [`Clock::now`] is the shop's wall time, for letters, pages
//! and overdue lists; it may jump when somebody sets the machine's clock. [`Clock::since_start`] only ever
//! grows, for settle times and back-off. [`SystemClock`] asks the machine, [`HandClock`] is set by a test.
//!
//! It knows no time zone and no calendar: those belong to who prints a time.

use jiff::Timestamp;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;
use std::time::Duration;
use std::time::Instant;

/// Answers what time it is.
pub trait Clock: Send + Sync {
    /// Wall time, UTC. May step back or forward when the machine's clock is set.
    fn now(&self) -> Timestamp;

    /// Time since this clock was made. Never steps back.
    fn since_start(&self) -> Duration;
}

/// The machine's clocks.
#[derive(Debug, Clone, Copy)]
pub struct SystemClock {
    start: Instant,
}

#[expect(clippy::disallowed_methods, reason = "this is the one place that may ask; all others are told")]
impl SystemClock {
    /// A clock whose [`Clock::since_start`] begins now.
    #[must_use]
    pub fn new() -> Self {
        Self { start: Instant::now() }
    }

    fn ask_the_wall() -> Timestamp {
        Timestamp::now()
    }
}

impl Default for SystemClock {
    fn default() -> Self {
        Self::new()
    }
}

impl Clock for SystemClock {
    fn now(&self) -> Timestamp {
        Self::ask_the_wall()
    }

    fn since_start(&self) -> Duration {
        self.start.elapsed()
    }
}

/// A clock that moves only when told, for tests. Share it behind an `Arc` and keep one end to turn the hands.
#[derive(Debug)]
pub struct HandClock {
    hands: Mutex<Hands>,
}

#[derive(Debug, Clone, Copy)]
struct Hands {
    now: Timestamp,
    since_start: Duration,
}

impl HandClock {
    /// A clock that shows `now` and has run for no time.
    #[must_use]
    pub fn at(now: Timestamp) -> Self {
        Self { hands: Mutex::new(Hands { now, since_start: Duration::ZERO }) }
    }

    /// Lets time pass: both times move on. The wall time stops at the last moment a `Timestamp` can hold.
    pub fn advance(&self, by: Duration) {
        let mut hands = self.hands();
        hands.now = hands.now.checked_add(by).unwrap_or(Timestamp::MAX);
        hands.since_start = hands.since_start.saturating_add(by);
    }

    /// Sets the wall time, as a person or a time server does, forward or back; no time passes.
    pub fn set(&self, now: Timestamp) {
        self.hands().now = now;
    }

    fn hands(&self) -> MutexGuard<'_, Hands> {
        // Two plain values: a panic elsewhere cannot leave them half written.
        self.hands.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Clock for HandClock {
    fn now(&self) -> Timestamp {
        self.hands().now
    }

    fn since_start(&self) -> Duration {
        self.hands().since_start
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hand_clock_moves_only_when_told() {
        let clock = HandClock::at(Timestamp::UNIX_EPOCH);
        assert_eq!((clock.now(), clock.since_start()), (Timestamp::UNIX_EPOCH, Duration::ZERO));

        clock.advance(Duration::from_secs(90));
        assert_eq!(clock.now().as_second(), 90);
        assert_eq!(clock.since_start(), Duration::from_secs(90));
    }

    #[test]
    fn setting_the_wall_back_does_not_turn_back_the_time_passed() {
        let clock = HandClock::at(Timestamp::UNIX_EPOCH);
        clock.advance(Duration::from_secs(60));
        clock.set(Timestamp::UNIX_EPOCH);
        assert_eq!((clock.now(), clock.since_start()), (Timestamp::UNIX_EPOCH, Duration::from_secs(60)));

        clock.advance(Duration::MAX);
        assert_eq!((clock.now(), clock.since_start()), (Timestamp::MAX, Duration::MAX));
    }

    #[test]
    fn the_system_clock_runs_forward() {
        let clock = SystemClock::new();
        let first = clock.since_start();
        assert!(first <= clock.since_start());
        assert!(clock.now() > Timestamp::UNIX_EPOCH);
    }
}
