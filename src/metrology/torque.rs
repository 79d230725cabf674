//! Torques, exactly: a torque in one unit is held against one in another without a rounding.
//!
//! One pound-force is 4.4482216152605 N and a foot 0.3048 m, a kilogram-force 9.80665 N, all by definition; an inch is a
//! twelfth of a foot.

use crate::metrology::Decimal;

/// A torque, in twelfths of 1e-22 N m: whole for every torque of at most six decimals in the units of wrenches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Torque(i128);

/// Units as wrenches and people write them, without spaces and points, with how many twelfths of 1e-16 N m they are.
const UNITS: [(&str, i128); 14] = [
    ("lbfft", FOOT),
    ("ftlbf", FOOT),
    ("lbft", FOOT),
    ("ftlb", FOOT),
    ("ftlbs", FOOT),
    ("lbsft", FOOT),
    ("lbfin", INCH),
    ("inlbf", INCH),
    ("lbin", INCH),
    ("inlb", INCH),
    ("inlbs", INCH),
    ("lbsin", INCH),
    ("nm", 12 * 10_000_000_000_000_000),
    ("kgfm", 12 * 98_066_500_000_000_000),
];
/// 1 lbf ft is 1.3558179483314004 N m.
const FOOT: i128 = 12 * INCH;
const INCH: i128 = 13_558_179_483_314_004;

impl Torque {
    /// Digits in a unit: `80` and `lbf ft`. `None` of another unit, of a sign, or of more than six decimals.
    #[must_use]
    pub fn parse(digits: &str, unit: &str) -> Option<Self> {
        let unit: String = unit.chars().filter(|c| c.is_alphabetic()).flat_map(char::to_lowercase).collect();
        let (_, scale) = UNITS.iter().find(|(known, _)| *known == unit)?;
        Some(Self(Decimal::parse(digits)?.millionths() * scale))
    }

    /// A torque as a person writes it down: `80 lbf ft`, `80`, which is then in `unit`. `None` where it is none: an angle,
    /// or words.
    #[must_use]
    pub fn read(written: &str, unit: &str) -> Option<Self> {
        let (digits, named) = Decimal::split(written);
        Self::parse(digits, if named.is_empty() { unit } else { named })
    }

    /// Is it within so many percent of another?
    #[must_use]
    pub const fn is_within(self, percent: i128, other: Self) -> bool {
        (self.0 - other.0).abs() * 100 <= other.0 * percent
    }

    /// In newton metres, for what is worked out roughly.
    #[must_use]
    pub fn newton_metres(self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "rounded on purpose: nothing is decided by it")]
        let twelfths = self.0 as f64;
        twelfths / 12e22
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]
mod tests {
    use super::Torque;

    /// Trade notes D: 1 lbf ft is 1.35582 N m, 12 lbf in, and 1 kgf m is 9.80665 N m.
    #[test]
    fn units_are_one_torque() {
        let torque = |written: &str| Torque::read(written, "N m").unwrap();
        assert_eq!(torque("7.5 lbf ft"), torque("90 lbf in"));
        assert_eq!(torque("1 kgf m"), torque("9.80665 N m"));
        assert_eq!(torque("95"), torque("95,0 Nm"));
        assert!((torque("1 lbf ft").newton_metres() - 1.35582).abs() < 5e-6);
        assert!(torque("80 lb-ft") < torque("108.5 N m") && torque("80 ft.lb") > torque("108.4"));
        for none in ["90 deg", "tight", "", "-3", "1.0000001", "80 lbf ft or so"] {
            assert_eq!(Torque::read(none, "N m"), None, "{none}");
        }
    }

    /// At the edge of four percent the digits decide.
    #[test]
    fn percent_is_exact_at_its_edge() {
        let torque = |digits: &str| Torque::parse(digits, "lbf ft").unwrap();
        assert!(torque("83.2").is_within(4, torque("80")) && torque("76.8").is_within(4, torque("80")));
        assert!(
            !torque("83.200001").is_within(4, torque("80"))
                && !torque("76.799999").is_within(4, torque("80"))
        );
    }
}
