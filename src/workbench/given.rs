//! What the owner typed, read into amounts; every fault of it at once.

use crate::workbench::answer::wrapped;
use crate::workbench::number;
use crate::workbench::units::{Quantity, Unit};
use num_rational::Ratio;
use std::fmt;

/// Digits before and after the decimal point that an amount may have; more is a slip of the finger.
const MOST_DIGITS: usize = 7;

/// One thing that was typed wrong, or is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Which one.
    pub name: &'static str,
    /// What is wrong, and what a good one looks like.
    pub words: String,
}

/// Every fault of what was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults(pub Vec<Fault>);

impl Faults {
    /// One more.
    pub fn add(&mut self, name: &'static str, words: impl Into<String>) {
        self.0.push(Fault { name, words: words.into() });
    }

    /// What was read, or the faults where there are any.
    ///
    /// # Errors
    /// The faults; they are never empty then.
    pub fn or<T>(self, read: Option<T>) -> Result<T, Self> {
        match read {
            Some(read) if self.0.is_empty() => Ok(read),
            Some(_) | None => Err(self),
        }
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let count = self.0.len();
        write!(f, "{count} thing{} to put right", if count == 1 { "" } else { "s" })?;
        let line = |fault: &Fault| wrapped("  ", &format!("{}: {}", fault.name, fault.words));
        self.0.iter().try_for_each(|fault| write!(f, "\n{}", line(fault).trim_end()))
    }
}

impl std::error::Error for Faults {}

/// A number with its unit, exactly as typed.
#[derive(Clone, Debug)]
pub struct Amount {
    /// The number.
    pub value: Ratio<i128>,
    /// Its unit.
    pub unit: &'static Unit,
}

impl Amount {
    /// Reads `3.6825in`, `1 5/8in`, `38 lbf ft` or `58.0 cc`.
    ///
    /// # Errors
    /// Words that say what is wrong with it.
    pub fn read(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let of_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | '/' | ' ');
        let end = text.find(|c: char| !of_number(c)).unwrap_or(text.len());
        let (digits, unit) = text.split_at(end);
        if digits.contains(',') {
            return Err(format!(
                "{text:?} has a comma; write the decimals with a point, and one value at a time"
            ));
        }
        let value = fraction(digits.trim()).ok_or_else(|| {
            format!("{text:?} does not begin with a number of at most {MOST_DIGITS} digits before and after the point")
        })?;
        if unit.trim().is_empty() {
            return Err(format!("{text:?} has no unit"));
        }
        let unit = Unit::named(unit).ok_or_else(|| {
            format!("{:?} in {text:?} is no unit known here; known are {}", unit.trim(), Unit::all())
        })?;
        Ok(Self { value, unit })
    }

    /// In a unit of the same quantity, to the nearest double.
    #[must_use]
    pub fn to(&self, symbol: &str) -> f64 {
        number::double(self.exactly(symbol))
    }

    /// In a unit of the same quantity, exactly; in its own where there is no such unit.
    #[must_use]
    pub fn exactly(&self, symbol: &str) -> Ratio<i128> {
        Unit::named(symbol).map_or(self.value, |other| self.unit.bring(self.value, other))
    }

    /// As typed: its digits and its unit.
    #[must_use]
    pub fn show(&self) -> String {
        format!("{} {}", number::digits(self.value), self.unit.symbol)
    }
}

/// A decimal number, `3/8`, `1 5/8` or `1-5/8`; `None` where it is none of them.
fn fraction(text: &str) -> Option<Ratio<i128>> {
    let Some((over, under)) = text.split_once('/') else { return decimal(text) };
    let (whole, over) = over.trim().rsplit_once([' ', '-']).unwrap_or(("0", over.trim()));
    let small = |text: &str| text.parse::<u16>().ok().map(i128::from);
    let under = small(under.trim()).filter(|under| *under > 0)?;
    Some(Ratio::from_integer(small(whole.trim())?) + Ratio::new(small(over)?, under))
}

/// A decimal number; `None` where it is none or has too many digits.
fn decimal(digits: &str) -> Option<Ratio<i128>> {
    let (sign, digits) = match digits.strip_prefix('-') {
        Some(rest) => (-1, rest),
        None => (1, digits.strip_prefix('+').unwrap_or(digits)),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let plain = |text: &str| text.len() <= MOST_DIGITS && text.bytes().all(|b| b.is_ascii_digit());
    if (whole.is_empty() && part.is_empty()) || !plain(whole) || !plain(part) {
        return None;
    }
    let all: i128 = format!("{whole}{part}").parse().ok()?;
    Some(Ratio::new(sign * all, 10_i128.pow(u32::try_from(part.len()).ok()?)))
}

/// How far down an amount may go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Least {
    /// Above zero.
    Positive,
    /// Zero or above.
    Zero,
}

/// What one answer may be told, read by name. Each `example` is a good one, for the words of a fault.
#[derive(Debug)]
pub struct Given<'a> {
    typed: &'a [(&'static str, &'a [String])],
    /// What was wrong so far.
    pub faults: Faults,
}

impl<'a> Given<'a> {
    /// Of the options' names and what stood behind each.
    #[must_use]
    pub fn new(typed: &'a [(&'static str, &'a [String])]) -> Self {
        Self { typed, faults: Faults::default() }
    }

    /// What was read, or every fault so far.
    ///
    /// # Errors
    /// The faults.
    pub fn done<T>(&mut self, read: Option<T>) -> Result<T, Faults> {
        std::mem::take(&mut self.faults).or(read)
    }

    /// What stood behind a name, as it stands.
    #[must_use]
    pub fn texts(&self, name: &str) -> &'a [String] {
        self.typed.iter().find(|(known, _)| *known == name).map_or(&[], |(_, texts)| texts)
    }

    /// The text behind a name, when there is one.
    #[must_use]
    pub fn text(&self, name: &str) -> Option<&'a str> {
        self.texts(name).first().map(String::as_str)
    }

    /// All amounts behind a name.
    pub fn amounts(
        &mut self,
        name: &'static str,
        quantity: Quantity,
        least: Least,
        example: &str,
    ) -> Vec<Amount> {
        let mut read = Vec::new();
        for text in self.texts(name) {
            let amount = Amount::read(text).and_then(|amount| of_its_kind(amount, quantity, least));
            match amount {
                Ok(amount) => read.push(amount),
                Err(words) => self.faults.add(name, format!("{words}; a good one is {example}")),
            }
        }
        read
    }

    /// The amount behind a name, when something stands there.
    pub fn maybe(
        &mut self,
        name: &'static str,
        quantity: Quantity,
        least: Least,
        example: &str,
    ) -> Option<Amount> {
        self.amounts(name, quantity, least, example).pop()
    }

    /// The amount behind a name, which must be there and above zero.
    pub fn needed(
        &mut self,
        name: &'static str,
        quantity: Quantity,
        what: &str,
        example: &str,
    ) -> Option<Amount> {
        if self.texts(name).is_empty() {
            self.faults.add(name, format!("{what} is missing; a good one is {example}"));
        }
        self.maybe(name, quantity, Least::Positive, example)
    }

    /// A bare number above zero behind a name, when something stands there.
    pub fn number(&mut self, name: &'static str, example: &str) -> Option<f64> {
        let text = self.text(name)?;
        let read = decimal(text.trim()).map(number::double).filter(|value| *value > 0.0);
        if read.is_none() {
            self.faults.add(name, format!("{text:?} is no number above zero; a good one is {example}"));
        }
        read
    }
}

fn of_its_kind(amount: Amount, quantity: Quantity, least: Least) -> Result<Amount, String> {
    let zero = Ratio::from_integer(0);
    if amount.unit.quantity != quantity {
        return Err(format!("{} is in the wrong unit, here it is {}", amount.show(), Unit::list(quantity)));
    }
    match least {
        Least::Positive if amount.value <= zero => Err(format!("{} is not above zero", amount.show())),
        Least::Zero if amount.value < zero => Err(format!("{} is below zero", amount.show())),
        Least::Positive | Least::Zero => Ok(amount),
    }
}
