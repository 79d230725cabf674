//! Amounts of money in the shop's own currency, exact.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::ops::Add;

/// An amount, in hundredths of the shop's currency.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Money(i64);

impl Money {
    /// No money.
    pub const NONE: Self = Self(0);

    /// From digits with no or two decimals, at most nine before the point; `None` for anything else.
    #[must_use]
    pub fn parse(digits: &str) -> Option<Self> {
        let (whole, cents) = digits.split_once('.').unwrap_or((digits, "00"));
        let plain = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || whole.len() > 9 || cents.len() != 2 || !plain(whole) || !plain(cents) {
            return None;
        }
        format!("{whole}{cents}").parse().ok().map(Self)
    }

    /// An amount as a person writes it: `3,500.00`, `4 000`, `at most 4000 EUR`. `None` where there is not exactly one.
    #[must_use]
    pub fn written(words: &str) -> Option<Self> {
        let is_inner = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' ' | '\'');
        let mut amounts = words
            .split(|c| !is_inner(c))
            .map(str::trim)
            .filter(|run| run.contains(|c: char| c.is_ascii_digit()));
        let run = amounts.next().filter(|_| amounts.next().is_none())?;
        let run = run.trim_matches(['.', ',', ' ', '\'']);
        let (whole, cents) = match run.rsplit_once(['.', ',']) {
            Some((whole, cents)) if cents.len() == 2 => (whole, cents),
            Some(_) | None => (run, "00"),
        };
        let mut groups = whole.split(['.', ',', ' ', '\'']);
        let first = groups.next()?.to_owned();
        let whole = groups.try_fold(first, |all, group| (group.len() == 3).then(|| all + group))?;
        Self::parse(&format!("{whole}.{cents}"))
    }

    /// What is left of this after paying the other; nothing when that is more.
    #[must_use]
    pub fn less(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0).max(0))
    }

    /// Is anything left?
    #[must_use]
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// This for so many hundredths of a unit, rounded half up: hours at an hourly price.
    #[must_use]
    pub const fn for_hundredths(self, hundredths: i64) -> Self {
        Self(self.0.saturating_mul(hundredths).saturating_add(50) / 100)
    }

    /// How many hundredths of a unit this buys at a price, rounded half up; `None` where the unit costs nothing.
    #[must_use]
    pub const fn hundredths_at(self, unit: Self) -> Option<i64> {
        if unit.0 == 0 { None } else { Some((self.0.saturating_mul(200) / unit.0 + 1) / 2) }
    }
}

impl Add for Money {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::default(), Add::add)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{:02}", self.0 / 100, self.0 % 100)
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).ok_or_else(|| D::Error::custom("an amount is digits with no or two decimals"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_exact_and_keep_their_cents() {
        assert_eq!(Money::parse("1250.05").map(|m| m.to_string()), Some("1250.05".to_owned()));
        assert_eq!(Money::parse("12").map(|m| m.to_string()), Some("12.00".to_owned()));
        for bad in ["", "1,50", "1.5", "-1.00", ".50", "1.005", "1234567890", "1.+5"] {
            assert_eq!(Money::parse(bad), None, "{bad}");
        }
        let tenths: Money = std::iter::repeat_n(Money(10), 10).sum();
        assert_eq!(tenths, Money(100), "ten times a tenth is one");
        assert_eq!(Money(6500).for_hundredths(350), Money(22750), "3.5 hours at 65.00");
        assert_eq!(Money(22750).hundredths_at(Money(6500)), Some(350), "and back");
        assert_eq!(Money(22750).hundredths_at(Money(0)), None);
        assert_eq!(Money(100).less(Money(250)), Money(0));
    }
}
