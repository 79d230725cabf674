//! `account`: money and hours of a job.

use crate::facts::{Day, Digits, Money};
use serde::Deserialize;

/// One entry; exactly one of the five.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub enum Account {
    /// What it is expected to cost.
    Estimate(Estimate),
    /// Hours worked.
    Hours(Hours),
    /// A deposit taken.
    Deposit(Amount),
    /// The final price.
    Price(Amount),
    /// Money received.
    Paid(Amount),
}

/// What a job is expected to cost.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Estimate {
    /// Its lines.
    pub lines: Vec<EstimateLine>,
    /// The most it may cost.
    pub not_to_exceed: Money,
    /// Until when it holds.
    pub expires: Day,
    /// Which option.
    #[serde(default)]
    pub option: String,
    /// It adds to the estimate that was approved, which stands.
    #[serde(default)]
    pub addition: bool,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

impl Estimate {
    /// The sum of its lines.
    #[must_use]
    pub fn sum(&self) -> Money {
        self.lines.iter().map(|line| line.amount).sum()
    }
}

/// One line of an estimate.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct EstimateLine {
    /// Labour, machining, parts, outside work.
    pub what: String,
    /// Its amount.
    pub amount: Money,
}

/// Hours worked.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Hours {
    /// How many, at most two decimals.
    pub hours: Digits,
    /// On what.
    pub what: String,
}

impl Hours {
    /// In hundredths of an hour.
    #[must_use]
    pub fn hundredths(&self) -> i64 {
        hundredths(&self.hours)
    }
}

/// An amount with a remark.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Amount {
    /// The amount.
    pub amount: Money,
    /// Cash, card, transfer.
    #[serde(default)]
    pub how: String,
    /// A remark.
    #[serde(default)]
    pub note: String,
}

/// Hours with at most two decimals, in hundredths; the schema has seen that they are digits.
pub(super) fn hundredths(hours: &Digits) -> i64 {
    let (whole, decimals) = hours.0.split_once('.').unwrap_or((&hours.0, ""));
    format!("{whole}{decimals:0<2}").parse().unwrap_or(0)
}
