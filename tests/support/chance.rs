//! Numbers that look like chance and are the same in each run.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

/// The public-domain splitmix64 generator.
pub struct Chance(pub u64);

impl Chance {
    /// A number from `low` up to, not including, `high`.
    pub fn between(&mut self, low: u64, high: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        low + (bits ^ (bits >> 31)) % (high - low)
    }

    /// In another order.
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            let other = usize::try_from(self.between(0, last as u64 + 1)).unwrap();
            items.swap(last, other);
        }
    }
}
