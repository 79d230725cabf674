//! Numbers that are read for a check, such as the oil pressure of the first start, against the sheet's limits.

use crate::metrology::{Exact, Length, Unit};

/// What such a number is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Scale {
    Pressure(Unit),
    Celsius,
    Fahrenheit,
    Seconds,
    Minutes,
    Turns,
}

impl Scale {
    const ALL: [Self; 8] = [
        Self::Pressure(Unit::Psi),
        Self::Pressure(Unit::Kilopascal),
        Self::Pressure(Unit::Bar),
        Self::Celsius,
        Self::Fahrenheit,
        Self::Seconds,
        Self::Minutes,
        Self::Turns,
    ];

    const fn symbol(self) -> &'static str {
        match self {
            Self::Pressure(unit) => unit.symbol(),
            Self::Celsius => "deg C",
            Self::Fahrenheit => "deg F",
            Self::Seconds => "s",
            Self::Minutes => "min",
            Self::Turns => "rpm",
        }
    }

    fn of_symbol(written: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scale| scale.symbol().eq_ignore_ascii_case(written))
    }

    /// The unit that words begin with: `psi by drill`. Words that say more than how it was read may take the number back.
    fn before_words(written: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scale| {
            let symbol = scale.symbol();
            let rest = written
                .get(symbol.len()..)
                .filter(|_| written.get(..symbol.len()).is_some_and(|own| own.eq_ignore_ascii_case(symbol)));
            rest.is_some_and(|rest| {
                !rest.starts_with(|c: char| c.is_alphanumeric() || c == '/') && says_only_how(rest)
            })
        })
    }

    /// The grid its numbers stand on; all but pressures have one of their own, in which one is one.
    const fn grid(self) -> Unit {
        match self {
            Self::Pressure(unit) => unit,
            Self::Celsius | Self::Fahrenheit | Self::Seconds | Self::Minutes | Self::Turns => Unit::ToOne,
        }
    }

    fn number(self, digits: &str) -> Option<Exact> {
        Length::parse(digits, self.grid()).ok().map(Length::exact)
    }

    /// A number in this, exactly, in the other; `None` where they measure different things. 0 deg C is 32 deg F, and 5
    /// degrees of the one are 9 of the other.
    fn bring(self, value: Exact, other: Self) -> Option<Exact> {
        let freezing = || Self::Fahrenheit.number("32");
        match (self, other) {
            (Self::Pressure(own), Self::Pressure(wanted)) => own.bring(value, wanted),
            (Self::Celsius, Self::Fahrenheit) => Some(value.part(9, 5) + freezing()?),
            (Self::Fahrenheit, Self::Celsius) => Some((value - freezing()?).part(5, 9)),
            (Self::Minutes, Self::Seconds) => Some(value.part(60, 1)),
            (Self::Seconds, Self::Minutes) => Some(value.part(1, 60)),
            (own, wanted) => (own == wanted).then_some(value),
        }
    }
}

/// Words that take nothing back: with what, when and at what it was read.
fn says_only_how(words: &str) -> bool {
    const HOW: [&str; 22] = [
        "by", "with", "on", "at", "the", "a", "drill", "hand", "gauge", "dial", "starter", "pump", "primer",
        "cold", "hot", "warm", "idle", "speed", "oil", "before", "start", "steady",
    ];
    words
        .split(|c: char| !c.is_alphanumeric())
        .all(|word| word.is_empty() || HOW.contains(&word.to_lowercase().as_str()))
}

/// A number that is read for a check, and the limits of the sheet it must lie in; without limits it is only recorded.
#[derive(Clone, Debug)]
pub struct Reads {
    scale: Scale,
    min: Option<(Exact, String)>,
    max: Option<(Exact, String)>,
}

/// What is wrong with an answer that must have a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadsFault {
    /// No number, or one in a unit of something else.
    NoNumber,
    /// Below the least, or above the most.
    Outside,
}

impl Reads {
    /// From a sheet; `None` where the unit is none of ours, a limit is no number, or the least is more than the most.
    pub(super) fn of(unit: &str, min: Option<&str>, max: Option<&str>) -> Option<Self> {
        let scale = Scale::of_symbol(unit)?;
        let bound = |digits: Option<&str>| match digits {
            Some(digits) => Some(Some((scale.number(digits)?, digits.to_owned()))),
            None => Some(None),
        };
        let (min, max) = (bound(min)?, bound(max)?);
        let in_order = min.as_ref().zip(max.as_ref()).is_none_or(|(min, max)| min.0 <= max.0);
        in_order.then_some(Self { scale, min, max })
    }

    /// What is asked for: `at least 10 psi`, `40 to 60 psi`, `in psi`.
    #[must_use]
    pub fn words(&self) -> String {
        let unit = self.scale.symbol();
        match (&self.min, &self.max) {
            (Some((_, min)), Some((_, max))) => format!("{min} to {max} {unit}"),
            (Some((_, min)), None) => format!("at least {min} {unit}"),
            (None, Some((_, max))) => format!("at most {max} {unit}"),
            (None, None) => format!("in {unit}"),
        }
    }

    /// A value as it was written, with the unit where it was written without.
    #[must_use]
    pub fn shown(&self, written: &str) -> String {
        let is_bare = self.value(written).is_some() && !written.contains(char::is_alphabetic);
        if is_bare { format!("{} {}", written.trim(), self.scale.symbol()) } else { written.to_owned() }
    }

    /// Does the sheet limit it?
    #[must_use]
    pub const fn has_limits(&self) -> bool {
        self.min.is_some() || self.max.is_some()
    }

    /// What is wrong with a value as a person wrote it: `52 psi`, `52psi`, `3,6 bar`, or the number alone, which is in the
    /// sheet's unit. `None` is inside.
    #[must_use]
    pub fn fault(&self, written: &str) -> Option<ReadsFault> {
        let Some(value) = self.value(written) else { return Some(ReadsFault::NoNumber) };
        let below = self.min.as_ref().is_some_and(|(min, _)| value < *min);
        let above = self.max.as_ref().is_some_and(|(max, _)| *max < value);
        (below || above).then_some(ReadsFault::Outside)
    }

    fn value(&self, written: &str) -> Option<Exact> {
        let written = written.trim();
        let is_digit = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-');
        let end = written.find(|c| !is_digit(c)).unwrap_or(written.len());
        let (digits, unit) = written.split_at(end);
        let scale = match unit.trim() {
            "" => self.scale,
            unit => Scale::before_words(unit)?,
        };
        // 1,200 is a thousand and something here, and a little over one there: it is asked for once more.
        let (_, behind) = digits.rsplit_once(',').unwrap_or_default();
        if behind.len() == 3 {
            return None;
        }
        scale.bring(scale.number(&digits.replace(',', "."))?, self.scale)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(unit: &str, min: Option<&str>, max: Option<&str>) -> Reads {
        Reads::of(unit, min, max).unwrap()
    }

    /// The limits of the first invented engine (trade notes H1): 10 psi at hot idle, 40 to 60 psi at speed. 1 psi is
    /// 6.894757293168 kPa (NIST SP 811, appendix B.8, recalled), so 10 psi are 68.94757 kPa and 60 are 413.68544.
    #[test]
    fn exact_at_the_limit_and_in_other_units() {
        let idle = of("psi", Some("10"), None);
        for good in [
            "10",
            "10 psi",
            "10.000psi",
            "10 psi by drill",
            "35 psi, cold",
            "68.94758 kPa",
            "0.69 bar",
            " 22 PSI ",
        ] {
            assert_eq!(idle.fault(good), None, "{good}");
        }
        for low in ["9.999", "9,9 psi", "68.94757 kPa", "0.68 bar", "-10", "0"] {
            assert_eq!(idle.fault(low), Some(ReadsFault::Outside), "{low}");
        }
        let speed = of("psi", Some("40"), Some("60"));
        assert_eq!(speed.fault("413.68543 kPa"), None);
        assert_eq!(speed.fault("413.68544 kPa"), Some(ReadsFault::Outside));
        assert_eq!((idle.words(), speed.words()), ("at least 10 psi".to_owned(), "40 to 60 psi".to_owned()));
    }

    /// Water boils at 212 deg F and at 100 deg C; -40 is the same in both.
    #[test]
    fn temperatures_and_times() {
        let boiling = of("deg F", Some("-40"), Some("212"));
        for (value, inside) in
            [("100 deg C", true), ("100.1 deg C", false), ("-40 deg C", true), ("-40.1 deg C", false)]
        {
            assert_eq!(boiling.fault(value).is_none(), inside, "{value}");
        }
        assert_eq!(of("deg C", None, Some("100")).fault("212.1 deg F"), Some(ReadsFault::Outside));
        assert_eq!(of("deg C", None, Some("100")).fault("212 deg F"), None);
        assert_eq!(of("s", None, Some("90")).fault("1.5 min"), None);
        assert_eq!(of("min", Some("20"), Some("30")).fault("1199 s"), Some(ReadsFault::Outside));
    }

    /// What is no number of this kind is asked for, never guessed.
    #[test]
    fn no_number_is_no_answer() {
        for none in [
            "",
            "ok",
            "good",
            "psi",
            "about 20",
            "20 or so",
            "20 bars",
            "20 psi or 30",
            "20 psig",
            "40 psi, then fell to nothing",
            "12 psi for a second",
            "20 s",
            "20 deg C",
            "1.2.3",
            "--2",
            "1,200",
        ] {
            assert_eq!(of("psi", None, None).fault(none), Some(ReadsFault::NoNumber), "{none}");
        }
        assert!(Reads::of("psi", Some("60"), Some("10")).is_none());
        assert!(Reads::of("furlong", None, None).is_none());
    }
}
