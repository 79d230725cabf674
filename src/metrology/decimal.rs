//! Digits as a person writes them, exactly, for what has no unit of the sheets' own: a reading of a wrench or a gauge.

/// A number of at most six decimals, in millionths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Decimal(i128);

impl Decimal {
    /// `80`, `76.8`, `76,8`. `None` of a sign, of more than six digits before or behind, and of anything else.
    #[must_use]
    pub fn parse(digits: &str) -> Option<Self> {
        let digits = digits.trim().replace(',', ".");
        let (whole, part) = digits.split_once('.').unwrap_or((&digits, ""));
        let plain = !whole.is_empty() && whole.len() <= 6 && part.len() <= 6;
        if !plain || !whole.bytes().chain(part.bytes()).all(|byte| byte.is_ascii_digit()) {
            return None;
        }
        format!("{whole}{part:0<6}").parse().ok().map(Self)
    }

    /// Its digits at the beginning of what was written, and what stands behind them.
    #[must_use]
    pub fn split(written: &str) -> (&str, &str) {
        let written = written.trim();
        let behind = written.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')));
        let (digits, rest) = written.split_at(behind.unwrap_or(written.len()));
        (digits, rest.trim())
    }

    /// In millionths.
    #[must_use]
    pub const fn millionths(self) -> i128 {
        self.0
    }
}
