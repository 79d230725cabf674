//! How long a letter waits before it is tried again.

use std::time::Duration;

/// Waits after the first, second, ... failed try, in seconds; after the last of them it is hourly.
const FIRST_WAITS: [u64; 5] = [30, 2 * 60, 5 * 60, 15 * 60, 30 * 60];

/// The wait before the next try, after `attempts` earlier tries and the one that just failed: 30 s, 2, 5, 15
/// and 30 minutes, then an hour give or take 20 percent.
///
/// The spread keeps letters that failed together from coming back together. It is worked out from the
/// letter's `id` and `attempts`, not by chance, so a test can repeat it. The caller gives up after five days.
#[must_use]
pub fn back_off(attempts: u32, id: i64) -> Duration {
    let first = usize::try_from(attempts).ok().and_then(|n| FIRST_WAITS.get(n));
    first.map_or_else(|| hourly(attempts, id), |seconds| Duration::from_secs(*seconds))
}

/// An hour, give or take 20 percent.
pub(super) fn hourly(attempts: u32, id: i64) -> Duration {
    const SHORTEST: u64 = 48 * 60;
    const LONGEST: u64 = 72 * 60;
    let spread = scramble(id.cast_unsigned() ^ (u64::from(attempts) << 32));
    Duration::from_secs(SHORTEST + spread % (LONGEST - SHORTEST + 1))
}

/// Turns neighbouring numbers into far ones (the finishing step of the public-domain splitmix64 generator).
const fn scramble(mut bits: u64) -> u64 {
    bits = bits.wrapping_add(0x9e37_79b9_7f4a_7c15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grows_to_an_hour() {
        let waits: Vec<u64> = (0..5).map(|attempts| back_off(attempts, 7).as_secs()).collect();
        assert_eq!(waits, [30, 120, 300, 900, 1800]);
    }

    #[test]
    fn hourly_waits_stay_within_a_fifth_and_spread() {
        let waits: Vec<u64> = (0..200).map(|id| back_off(5, id).as_secs()).collect();
        assert!(waits.iter().all(|wait| (2880..=4320).contains(wait)), "{waits:?}");
        assert!(waits.iter().any(|wait| *wait < 3200) && waits.iter().any(|wait| *wait > 4000));
        assert_eq!(back_off(9, 3), back_off(9, 3));
        assert!(back_off(u32::MAX, i64::MIN) <= Duration::from_secs(4320));
    }
}
