//! Slips, as trade notes 0.11, F and I2 tell of them, planted into honest sets.

use crate::chance::Chance;
use crate::model::{Feature, Read, within};

#[derive(Clone, Copy, PartialEq, Eq, Debug, PartialOrd, Ord)]
pub enum Slip {
    Unit,
    Decimal,
    WholeNumber,
    Swapped,
    Turn,
    Deviation,
    Misread,
    WarmPart,
    WrongZero,
    OtherSize,
}

pub const SLIPS: [Slip; 10] = [
    Slip::Unit,
    Slip::Decimal,
    Slip::WholeNumber,
    Slip::Swapped,
    Slip::Turn,
    Slip::Deviation,
    Slip::Misread,
    Slip::WarmPart,
    Slip::WrongZero,
    Slip::OtherSize,
];

impl Slip {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Unit => "value in the other unit",
            Self::Decimal => "decimal point elsewhere",
            Self::WholeNumber => "thousandths as a whole number",
            Self::Swapped => "two neighbouring digits swapped",
            Self::Turn => "a turn or line of the micrometer missed",
            Self::Deviation => "deviation without its setting",
            Self::Misread => "one place misread (4 to 30 spreads)",
            Self::WarmPart => "warm part, 20 to 60 degrees",
            Self::WrongZero => "gauge set wrong by 0.001 to 0.010 in",
            Self::OtherSize => "set of another size or condition",
        }
    }

    /// It concerns the whole set.
    pub const fn of_set(self) -> bool {
        matches!(self, Self::WarmPart | Self::WrongZero | Self::OtherSize)
    }
}

/// Digits as the bench writes them.
pub fn written(feature: &Feature, value: f64) -> String {
    let shows = feature.shows();
    let decimals =
        (0..6).find(|d| ((value * 10_f64.powi(*d)).round() - value * 10_f64.powi(*d)).abs() < 1e-6);
    let least = if shows < 0.0009 { if feature.unit == "mm" { 3 } else { 4 } } else { 0 };
    let least = if shows < 0.002 && least == 0 { 3 } else { least };
    format!("{value:.*}", usize::try_from(decimals.unwrap_or(6).max(least)).unwrap())
}

/// A set with its digits.
pub type Set = Vec<(Read, String)>;

/// The sets of all positions with their digits, one of them planted (a gauge set wrong or a warm part shows in all), or
/// `None` where this slip cannot happen to this set.
pub fn planted(
    slip: Slip,
    feature: &Feature,
    (all, position): (&[Vec<Read>], usize),
    spread: f64,
    chance: &mut Chance,
) -> Option<Vec<Set>> {
    if slip.of_set() {
        let shift = shift_of(slip, feature, chance)?;
        return Some(all.iter().map(|honest| shifted(feature, honest, shift)).collect());
    }
    let mut sets: Vec<Set> = all.iter().map(|honest| digits_of(feature, honest)).collect();
    sets[position] = planted_in(slip, feature, &all[position], spread, chance)?;
    Some(sets)
}

/// Readings with their digits.
pub fn digits_of(feature: &Feature, readings: &[Read]) -> Set {
    readings.iter().map(|read| (read.clone(), written(feature, read.value))).collect()
}

fn shifted(feature: &Feature, honest: &[Read], (factor, by): (f64, f64)) -> Set {
    let shows = feature.shows();
    let mut reads = honest.to_vec();
    for read in &mut reads {
        read.value = ((read.value * factor + by) / shows).round() * shows;
    }
    digits_of(feature, &reads)
}

fn planted_in(
    slip: Slip,
    feature: &Feature,
    honest: &[Read],
    spread: f64,
    chance: &mut Chance,
) -> Option<Set> {
    let length = ["in", "mm"].contains(&feature.unit.as_str());
    if !length && slip != Slip::Decimal && slip != Slip::Swapped && slip != Slip::Misread {
        return None;
    }
    let mut set = digits_of(feature, honest);
    let judged = honest.iter().filter(|read| !feature.unworn.contains(&read.station)).count();
    let at = usize::try_from(chance.between(0, judged as u64)).unwrap();
    let (read, digits) = &mut set[at];
    *digits = single(slip, feature, read.value, digits, spread, chance)?;
    read.value = digits.parse().unwrap();
    Some(set)
}

fn shift_of(slip: Slip, feature: &Feature, chance: &mut Chance) -> Option<(f64, f64)> {
    if !feature.is_diameter() {
        return None;
    }
    let sign = if chance.between(0, 2) == 0 { 1.0 } else { -1.0 };
    Some(match slip {
        Slip::WarmPart => (1.0 + within(chance, 20.0, 60.0) * 11e-6, 0.0),
        Slip::WrongZero if feature.unit == "mm" => (1.0, sign * within(chance, 0.025, 0.25)),
        Slip::WrongZero => (1.0, sign * within(chance, 0.001, 0.010)),
        Slip::Unit
        | Slip::Decimal
        | Slip::WholeNumber
        | Slip::Swapped
        | Slip::Turn
        | Slip::Deviation
        | Slip::Misread => return None,
        Slip::OtherSize => {
            let steps = feature.steps();
            if steps.is_empty() {
                return None;
            }
            let step = &steps[usize::try_from(chance.between(0, steps.len() as u64)).unwrap()];
            (1.0, feature.shift(Some(step)))
        }
    })
}

fn single(
    slip: Slip,
    feature: &Feature,
    value: f64,
    digits: &str,
    spread: f64,
    chance: &mut Chance,
) -> Option<String> {
    let inch = feature.unit == "in";
    let some = match slip {
        Slip::Unit if inch => written_to(value * 25.4, 2),
        Slip::Unit => written_to(value / 25.4, 4),
        Slip::Decimal => {
            let powers = [-2, -1, 1, 2];
            let power = powers[usize::try_from(chance.between(0, 4)).unwrap()];
            moved(digits, power)?
        }
        Slip::WholeNumber => {
            // The last figures of a size, or all of a gap: 249 for 2.249, 14 for 0.014; hundredths of a small millimetre.
            let parts = if inch || value > 10.0 { 1000.0 } else { 100.0 };
            let whole = ((value - value.trunc()) * parts).round();
            let whole = if feature.is_diameter() { whole } else { (value * parts).round() };
            // More than five figures are returned at the door.
            (1.0..99_999.0).contains(&whole).then(|| format!("{whole:.0}"))?
        }
        Slip::Swapped => swapped(digits, chance)?,
        Slip::Turn => {
            let by = if inch { [0.025, 0.1, 0.01] } else { [0.5, 1.0, 0.1] };
            let by = by[usize::try_from(chance.between(0, 3)).unwrap()];
            let by = if chance.between(0, 2) == 0 { by } else { -by };
            ["MIC", "BORE", "BALL", "HOLE", "DEEP"].contains(&feature.gauge().mark).then_some(())?;
            (value + by > 0.0).then(|| written(feature, value + by))?
        }
        Slip::Deviation => {
            feature.is_diameter().then_some(())?;
            let (low, _) = feature.fresh();
            let deviation = value - low;
            // With a plus it is returned at the door.
            written_to(deviation, if inch { 4 } else { 3 })
        }
        Slip::WarmPart | Slip::WrongZero | Slip::OtherSize => return None,
        Slip::Misread => {
            let by = spread * within(chance, 4.0, 30.0);
            let by = if chance.between(0, 2) == 0 { by } else { -by };
            let shows = feature.shows();
            let value = ((value + by) / shows).round() * shows;
            (value > 0.0).then(|| written(feature, value))?
        }
    };
    (some != digits).then_some(some)
}

fn written_to(value: f64, places: usize) -> String {
    format!("{value:.places$}")
}

/// The decimal point so many places to the right.
fn moved(digits: &str, by: i32) -> Option<String> {
    let value: f64 = digits.parse().ok()?;
    let decimals = i32::try_from(digits.split_once('.').map_or(0, |(_, d)| d.len())).ok()?;
    let places = usize::try_from((decimals - by).max(0)).ok()?;
    let moved = value * 10_f64.powi(by);
    (places <= 5 && moved < 90_000.0).then(|| format!("{moved:.places$}"))
}

/// Two neighbouring digits that differ, exchanged.
fn swapped(digits: &str, chance: &mut Chance) -> Option<String> {
    let figures: Vec<char> = digits.chars().collect();
    let of: Vec<usize> = (0..figures.len()).filter(|i| figures[*i].is_ascii_digit()).collect();
    let pairs: Vec<(usize, usize)> =
        of.windows(2).map(|two| (two[0], two[1])).filter(|(a, b)| figures[*a] != figures[*b]).collect();
    if pairs.is_empty() {
        return None;
    }
    let (a, b) = pairs[usize::try_from(chance.between(0, pairs.len() as u64)).unwrap()];
    let mut figures = figures.clone();
    figures.swap(a, b);
    Some(figures.into_iter().collect())
}

/// What was read, what is written, and the first readings of other positions, to look at.
pub fn told(of: &Feature, honest: &[Read], planted: &[Set], position: usize) -> String {
    let was = digits_of(of, honest);
    let moved = was.iter().zip(&planted[position]).filter(|(was, now)| was.1 != now.1);
    let moved: Vec<String> = moved.map(|(was, now)| format!("{} for {}", now.1, was.1)).collect();
    let read: Vec<&str> = was.iter().map(|was| was.1.as_str()).collect();
    let others = planted.iter().enumerate().filter(|(at, _)| *at != position);
    let others: Vec<&str> = others.map(|(_, set)| set[0].1.as_str()).collect();
    format!("[{}] {}; others {}", read.join(" "), moved.join(", "), others.join(" "))
}
