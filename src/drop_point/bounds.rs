//! How much one device, and all of them, may hand in.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// Drops one device may hand in at once.
const AT_ONCE: f64 = 60.0;
/// And a second, after that.
const A_SECOND: f64 = 2.0;
/// All devices together may so many times as much.
const ALL: f64 = 5.0;

/// What is left of an allowance, and when that was.
#[derive(Clone, Copy)]
struct Left {
    drops: f64,
    at: Duration,
}

impl Left {
    /// Is there room for one more at this time?
    fn take(&mut self, now: Duration, share: f64) -> bool {
        let since = now.saturating_sub(self.at).as_secs_f64();
        *self = Self { drops: (self.drops + since * A_SECOND * share).min(AT_ONCE * share), at: now };
        let has_room = self.drops >= 1.0;
        if has_room {
            self.drops -= 1.0;
        }
        has_room
    }
}

/// The allowances of all devices.
#[derive(Default)]
pub(super) struct Allowance {
    left: Mutex<BTreeMap<String, Left>>,
}

impl Allowance {
    /// May this device hand in one more drop now? Time is that of a clock that never steps back.
    pub(super) fn takes(&self, device: &str, now: Duration) -> bool {
        let mut left = self.left.lock().unwrap_or_else(PoisonError::into_inner);
        let mut take = |who: &str, share: f64| {
            let full = Left { drops: AT_ONCE * share, at: now };
            left.entry(who.to_owned()).or_insert(full).take(now, share)
        };
        take(device, 1.0) && take("", ALL)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_and_then_two_a_second() {
        let allowance = Allowance::default();
        let taken = |at: f64, asked: usize| {
            (0..asked).filter(|_| allowance.takes("tablet", Duration::from_secs_f64(at))).count()
        };
        assert_eq!(taken(1.0, 100), 60);
        assert_eq!(taken(2.0, 100), 2);
        assert_eq!(taken(7.0, 100), 10);
        // A clock that is asked about an earlier time gives nothing back.
        assert_eq!(taken(3.0, 10), 0);
        // Another device has its own.
        assert!(allowance.takes("phone", Duration::from_secs(7)));
    }

    #[test]
    fn all_together_have_a_bound_too() {
        let allowance = Allowance::default();
        let taken = (0..100).flat_map(|device| std::iter::repeat_n(device, 10));
        let taken = taken.filter(|device| allowance.takes(&device.to_string(), Duration::ZERO)).count();
        assert_eq!(taken, 300);
    }
}
