//! The slow, obvious way: every number a fraction, every deviation and every pair of places looked at one after the other,
//! limits compared by whole numbers. Written from the trade notes and the design, and sharing nothing with the house.

use num_rational::Ratio;

/// Millimetres, or of what is no length its own unit.
pub(crate) type Q = Ratio<i128>;

/// Digits such as `-2.2488` in a unit: an inch is exactly 127/5 mm.
pub(crate) fn read(digits: &str, unit: &str) -> Q {
    let (minus, bare) = digits.strip_prefix('-').map_or((1, digits), |rest| (-1, rest));
    let (whole, part) = bare.split_once('.').unwrap_or((bare, ""));
    let number: i128 = format!("{whole}{part}").parse().unwrap();
    let of_unit = if unit == "in" { Q::new(127, 5) } else { Q::from_integer(1) };
    Q::new(minus * number, 10_i128.pow(u32::try_from(part.len()).unwrap())) * of_unit
}

/// Largest less smallest.
pub(crate) fn range(values: &[Q]) -> Q {
    let mut widest = Q::from_integer(0);
    for a in values {
        for b in values {
            widest = widest.max(a - b);
        }
    }
    widest
}

/// Exact mean of repeats.
pub(crate) fn mean(values: &[Q]) -> Q {
    values.iter().sum::<Q>() / i128::try_from(values.len()).unwrap()
}

/// A length read at temperatures (thousandths of a degree) with ppm per degree in thousandths, at 20 degrees: ISO 1 as the
/// trade notes have it, then rounded once to the last decimal of its unit, halves away from nought.
pub(crate) fn cold(read: Q, unit: &str, part: (i128, i128), gauge: (i128, i128)) -> Q {
    let grown = |(ppm, at): (i128, i128)| Q::from_integer(1) + Q::new(ppm * (at - 20_000), 1_000_000_000_000);
    let step = if unit == "in" { Q::new(127, 5_000_000) } else { Q::new(1, 100_000) };
    let steps = read * grown(gauge) / grown(part) / step;
    let twice = steps * 2;
    let away = if twice.numer().is_negative() { (twice - 1) / 2 } else { (twice + 1) / 2 };
    // Towards nought of what was moved half a step away from it.
    Q::from_integer(away.numer() / away.denom()) * step
}

/// Both sides of limits.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Limits {
    pub(crate) min: Option<Q>,
    pub(crate) max: Option<Q>,
}

impl Limits {
    pub(crate) fn of(min: Option<Q>, max: Option<Q>) -> Self {
        Self { min, max }
    }

    fn side(self, value: Q) -> Option<&'static str> {
        match (self.min, self.max) {
            (Some(min), _) if value < min => Some("below"),
            (_, Some(max)) if value > max => Some("above"),
            _ => None,
        }
    }

    /// The other's bound where this has none.
    pub(crate) fn or(self, other: Self) -> Self {
        Self { min: self.min.or(other.min), max: self.max.or(other.max) }
    }
}

/// Where a value lies: outside what may be reused (and on which side), else within what a new one may be or not.
pub(crate) fn band(value: Q, new: Option<Limits>, reuse: Limits) -> &'static str {
    match (reuse.side(value), new.map(|new| new.side(value))) {
        (Some("below"), _) => "beyond below",
        (Some(_), _) => "beyond above",
        (None, Some(None)) => "new",
        (None, _) => "service",
    }
}

/// Loosest and tightest of all: each place of the outer with each of either wall and each of the inner.
pub(crate) fn ends(outer: &[Q], walls: &[Vec<Q>], inner: &[Q]) -> (Q, Q) {
    let mut left: Vec<Q> = outer.to_vec();
    for member in walls.iter().map(Vec::as_slice).chain([inner]) {
        left = left.iter().flat_map(|value| member.iter().map(move |taken| value - taken)).collect();
    }
    (*left.iter().max().unwrap(), *left.iter().min().unwrap())
}
