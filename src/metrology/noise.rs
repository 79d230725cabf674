//! What noise alone shows: how far apart readings of things that are alike, or nearly, come out.
//!
//! The largest of several noisy readings is further out than any one of them, and their range is never nought. Whoever
//! says "beyond" of the worst reading has to ask how often a good part shows as much. Here stand the distribution of the
//! range of normal readings (the studentised range with infinite degrees of freedom; its integral is the textbook one,
//! compared with another library in the tests) and what becomes of it where the things truly differ a little.

use crate::metrology::normal::{density, phi};
use crate::metrology::quantiles::{normal, smooth_crossing};
use crate::metrology::statistics::count;
use std::sync::OnceLock;

/// Probability that the range of `n` normal readings of standard deviation one is at most `width`, where `raised` of them
/// are of things larger by `step` than the rest. `n` 2 or more, `raised` less than `n`, `step` 0 or more.
///
/// The integral over where the lowest reading lies of all others lying within `width` above it, by the trapezoid rule:
/// the factors are at most `exp(y^2 / 2)` of themselves off the line, as in `proof`, so the step errs by under 1e-9.
#[must_use]
pub fn range_within(width: f64, n: usize, raised: usize, step: f64) -> f64 {
    const REACH: f64 = 8.0;
    /// The error is some `exp(-SMALL)`.
    const SMALL: f64 = 23.0;
    if width <= 0.0 {
        return 0.0;
    }
    let rest = n.saturating_sub(raised);
    let h = std::f64::consts::TAU / (2.0 * SMALL * (1.0 + 2.0 * count(n))).sqrt();
    let above = |x: f64| phi(x + width) - phi(x);
    let lowest_at = |x: f64| {
        let (plain, higher) = (above(x), above(x - step));
        let of_rest =
            count(rest) * density(x) * to_power(plain, rest.saturating_sub(1)) * to_power(higher, raised);
        let of_raised = count(raised)
            * density(x - step)
            * to_power(plain, rest)
            * to_power(higher, raised.saturating_sub(1));
        of_rest + of_raised
    };
    // The lowest of all is no higher than the lowest of the rest, which REACH covers.
    let mut sum = 0.0;
    let mut x = -REACH;
    while x <= REACH {
        sum += lowest_at(x);
        x += h;
    }
    (sum * h).clamp(0.0, 1.0)
}

fn to_power(base: f64, exponent: usize) -> f64 {
    libm::pow(base, count(exponent))
}

/// Probability that `n` readings of standard deviation `sigma` show a range of at most `shown` where the things read are
/// truly within `tolerance` of each other: the least that it can be. One unit throughout, `sigma > 0`.
///
/// Readings that show no more are a convex, symmetric set; the probability of such a set under a normal density falls off
/// log-concavely with where the true sizes lie (Prekopa), so over all sizes within a tolerance it is least in a corner,
/// where each is at one end or the other. Equal readings leave only how many are at which end to try.
#[must_use]
pub fn tolerated_range_within(shown: f64, tolerance: f64, sigma: f64, n: usize) -> f64 {
    let corner = |raised: usize| range_within(shown / sigma, n, raised, tolerance / sigma);
    (1..=(n / 2).max(1)).map(corner).fold(1.0, f64::min)
}

/// What the largest of `sets` ranges, each of `n` readings of one thing, stays under in 95 of 100 cases, in standard
/// deviations of one reading. 2.77 of two, 3.31 of three for one range; 3.16 of two for two.
#[must_use]
pub fn range_floor(n: usize, sets: usize) -> f64 {
    /// Every surface of an engine asks for one of these few, and each was a fifth of judging it.
    const KNOWN: usize = 16;
    static FLOORS: [[OnceLock<f64>; KNOWN]; KNOWN] = [const { [const { OnceLock::new() }; KNOWN] }; KNOWN];
    match FLOORS.get(n).and_then(|of| of.get(sets)) {
        Some(floor) => *floor.get_or_init(|| solved_floor(n, sets)),
        None => solved_floor(n, sets),
    }
}

fn solved_floor(n: usize, sets: usize) -> f64 {
    let each = of_each(sets);
    // More readings show more than two; and one of them is that far off the middle in no more than its share of cases.
    let least = std::f64::consts::SQRT_2 * normal(0.5 + 0.5 * each);
    if n <= 2 {
        return least;
    }
    let most = 2.0 * normal(1.0 - 0.5 * (1.0 - each) / count(n));
    smooth_crossing(least, most, 1e-8, |width| range_within(width, n, 0, 0.0) - each)
}

/// The same of one-sided normal values, in their own standard deviations: 1.645 of one.
#[must_use]
pub fn one_sided_floor(values: usize) -> f64 {
    normal(of_each(values))
}

/// What each of so many must keep for all to keep 0.95 together.
fn of_each(number: usize) -> f64 {
    0.95_f64.powf(1.0 / count(number.max(1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper 5 percent points of the range of normal readings, as published (Pearson and Hartley's Biometrika tables,
    /// table 22, recalled), and of the largest of several ranges from `scipy.stats.studentized_range` (1.17) at 0.95^(1/n).
    #[test]
    fn floors_are_the_published_ones() {
        let known = [
            (2, 1, 2.772),
            (3, 1, 3.314),
            (4, 1, 3.633),
            (6, 1, 4.030),
            (10, 1, 4.474),
            (20, 1, 5.012),
            (2, 2, 3.163),
            (2, 3, 3.376),
        ];
        for (n, sets, point) in known {
            let floor = range_floor(n, sets);
            assert!((floor - point).abs() < 1e-3, "{n} {sets}: {floor}");
        }
    }

    /// Of two the difference is normal: a closed form, true sizes apart or not.
    #[test]
    fn two_readings_have_a_closed_form() {
        for (width, step) in [(0.5, 0.0), (2.0, 1.0), (3.0, 2.5), (1.0, 4.0)] {
            let root = std::f64::consts::SQRT_2;
            let closed = phi((width - step) / root) - phi((-width - step) / root);
            assert!((range_within(width, 2, 1, step) - closed).abs() < 1e-9, "{width} {step}");
        }
    }

    /// The obvious second way: a fine grid over three readings.
    #[test]
    fn agrees_with_counting() {
        let h = 0.1;
        let at = |i: i32| f64::from(i) * h;
        for (width, raised, step) in [(2.0, 0, 0.0), (2.5, 1, 1.5), (2.5, 2, 1.5), (4.0, 1, 3.0)] {
            let shift = |place: usize| if place < raised { step } else { 0.0 };
            let mut p = 0.0;
            for (i, j, k) in (-70..110)
                .flat_map(|i| (-70..110).flat_map(move |j| (-70..110).map(move |k| (at(i), at(j), at(k)))))
            {
                let range = i.max(j).max(k) - i.min(j).min(k);
                // A cell on the edge is in by half.
                let share =
                    if (range - width).abs() < h / 4.0 { 0.5 } else { f64::from(u8::from(range < width)) };
                p +=
                    share * density(i - shift(0)) * density(j - shift(1)) * density(k - shift(2)) * h.powi(3);
            }
            let got = range_within(width, 3, raised, step);
            assert!((got - p).abs() < 2e-3, "{width} {raised} {step}: {got} against {p}");
        }
    }

    /// No sizes within the tolerance show more than the corner that was taken.
    #[test]
    fn the_corner_is_the_worst() {
        let (width, tolerance) = (3.5, 2.0);
        let least = tolerated_range_within(width, tolerance, 1.0, 4);
        for raised in 1..4 {
            for part in [0.0, 0.3, 0.7, 1.0] {
                assert!(range_within(width, 4, raised, part * tolerance) >= least - 1e-9, "{raised} {part}");
            }
        }
    }
}
