//! Values and bands are exact: they equal those of plain integer arithmetic, digit for digit. Guards promise 4.
//!
//! `exact/slow.rs` is the second, obvious way, in fractions; `exact/random.rs` holds random engines against it.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "support/chance.rs"]
mod chance;
#[path = "support/plain.rs"]
mod plain;
#[path = "exact/random.rs"]
mod random;
#[path = "exact/slow.rs"]
mod slow;
mod support;

use benchdrop::judgement::Band;
use benchdrop::sheets::{Characteristic, Side};
use proptest::prelude::*;
use serde_json::{Value, json};
use support::*;

/// Millionths of an inch as digits.
fn digits(millionths: i64) -> String {
    format!("{}.{:06}", millionths / 1_000_000, millionths % 1_000_000)
}

/// The band of crankpin 1 when all four places hold these repeats, in millionths of an inch.
fn band_of(repeats: &[i64]) -> Band {
    let mut drops = shop_with_engine();
    for (index, value) in repeats.iter().enumerate() {
        let minute = 20 + u32::try_from(index).unwrap();
        let set = journal("crankpin", "1", [&digits(*value); 4]);
        // Without a gauge no spread is checked: only the number is asked for here.
        drops.push(drop_at(
            "measurements",
            minute,
            json!({"condition": "as received", "unit": "in", "readings": set}),
        ));
    }
    standing(&folded(&drops).2, "crankpin 1", Characteristic::Size).judged.as_ref().unwrap().band
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// The mean of n repeats against service min 1.9980 and new 1.9990 to 1.9995: compared as n times the limit
    /// against the sum, which is the obvious exact way.
    #[test]
    fn means_of_repeats_meet_their_limits_exactly(
        near in prop::sample::select(vec![1_998_000_i64, 1_999_000, 1_999_500]),
        offsets in prop::collection::vec(-3_i64..=3, 1..4),
    ) {
        // Above new max by anything a reading without a gauge is asked about and kept out.
        let repeats: Vec<i64> = offsets.iter().map(|offset| (near + offset).min(1_999_500)).collect();
        let (n, sum) = (i64::try_from(repeats.len()).unwrap(), repeats.iter().sum::<i64>());
        let expected = if sum < n * 1_998_000 {
            Band::Beyond(Side::Below)
        } else if sum < n * 1_999_000 {
            Band::Serviceable
        } else {
            Band::New
        };
        prop_assert_eq!(band_of(&repeats), expected);
    }
}

/// 50.7492 mm is 1.998 in exactly; a hundredth of a micron less is beyond. Judged in the sheet's inches.
#[test]
fn millimetre_readings_are_brought_over_exactly() {
    let band = |digits: &str| {
        let mut drops = shop_with_engine();
        let readings: Vec<Value> = journal("crankpin", "1", [digits; 4]);
        drops.push(drop_at(
            "measurements",
            20,
            json!({"condition": "as received", "unit": "mm", "readings": readings}),
        ));
        standing(&folded(&drops).2, "crankpin 1", Characteristic::Size).judged.as_ref().unwrap().band
    };
    assert_eq!(band("50.74920"), Band::Serviceable);
    assert_eq!(band("50.74919"), Band::Beyond(Side::Below));
}
