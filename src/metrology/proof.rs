//! Probability that what was measured conforms, and the state that follows from it.
//!
//! Sizes over several places share one error (zero, scale, setting) and have each their own repeat error:
//! P = integral over the shared error z of product_i Phi(..) phi(z) dz. Form is a signed difference inside
//! one set, where the shared error cancels. The rule is the one of JCGM 106 with 0.95 by default.

use crate::metrology::normal::{between, density, phi};
use crate::metrology::statistics::count;

/// Largest error of any probability returned here, where what is shared is no more than two thousand times what repeats
/// (no gauge of a shop comes near that; further on the step is cut off, and it is under 4e-5). A probability nearer than
/// this to a decision level does not decide.
pub const ERROR_BOUND: f64 = 1e-6;

/// One place of a set, seen from its limits, in millimetres.
#[derive(Clone, Copy, Debug)]
pub struct PlaceMargin {
    /// Value minus lower limit; `None` without one.
    pub low: Option<f64>,
    /// Upper limit minus value; `None` without one.
    pub high: Option<f64>,
    /// Standard deviation of this place's own error, already of the mean of its repeats. More than 0.
    pub repeat: f64,
}

/// Probability that all places of one set conform when they share one normal error of standard deviation
/// `shared` (may be 0).
#[must_use]
pub fn all_places_conform(places: &[PlaceMargin], shared: f64) -> f64 {
    let places: Vec<PlaceMargin> = places.iter().filter_map(|place| place.near(shared)).collect();
    let product = |shift: f64| {
        places.iter().fold(1.0, |p, place| {
            if p == 0.0 {
                return 0.0;
            }
            let PlaceMargin { low, high, repeat } = place.shifted(shift);
            p * between(low, high, repeat)
        })
    };
    if shared <= 0.0 || places.is_empty() {
        return product(0.0);
    }
    let steepness = places.iter().map(|place| (shared / place.repeat).powi(2)).sum();
    integrate(shared, steepness, product)
}

impl PlaceMargin {
    /// The same place with a shared error of so much in its value.
    #[must_use]
    pub fn shifted(&self, by: f64) -> Self {
        Self { low: self.low.map(|low| low + by), high: self.high.map(|high| high - by), repeat: self.repeat }
    }

    /// What of it can matter. A limit so far off that no error within reach takes the place over it by more than a
    /// few millionths of [`ERROR_BOUND`] is as good as none; a place without a limit conforms.
    #[must_use]
    pub fn near(&self, shared: f64) -> Option<Self> {
        const FAR: f64 = 7.0;
        let near = |margin: Option<f64>| margin.filter(|m| m - REACH * shared < FAR * self.repeat);
        let (low, high) = (near(self.low), near(self.high));
        (low.is_some() || high.is_some()).then_some(Self { low, high, repeat: self.repeat })
    }
}

/// Mean of `conform` over one standard normal draw, such as an error that several sets share: `conform` is given the
/// draw. `steepness` is the sum over all places it reaches of the square of what a draw of one is to each, in units of
/// its own `repeat`; millimetres over millimetres.
#[must_use]
pub fn over_a_draw(steepness: f64, conform: impl Fn(f64) -> f64) -> f64 {
    integrate(1.0, steepness, conform)
}

/// The shared error is followed so many standard deviations to either side; beyond lies less than 3e-12.
const REACH: f64 = 7.0;

/// Integral of `product(shared z) phi(z)` over z by the trapezoid rule, which converges faster than any power on such an
/// analytic integrand. `steepness` is the sum of `(shared / repeat)^2` over the factors of the product.
///
/// At `x + iy` the density and the factors are at most `exp(y^2 / 2)` and `exp(y^2 (shared / repeat)^2 / 2)` times what
/// they can be on the line, so a step of h errs by at most some `2 exp(-(2 pi / h)^2 / (2 (1 + steepness)))`. Worked out
/// here; compared with a hundredfold finer step in the tests.
fn integrate(shared: f64, steepness: f64, product: impl Fn(f64) -> f64) -> f64 {
    const MOST_STEPS: f64 = 20_000.0;
    /// That error is `2 exp(-SMALL)`, 2e-10.
    const SMALL: f64 = 23.0;
    let step = std::f64::consts::TAU / (2.0 * SMALL * (1.0 + steepness)).sqrt();
    let step = step.max(2.0 * REACH / MOST_STEPS);
    let mut sum = 0.0;
    let mut z = -REACH;
    while z <= REACH {
        sum += density(z) * product(shared * z);
        z += step;
    }
    (sum * step).clamp(0.0, 1.0)
}

/// Probability that a form deviation seen as the signed difference `d` with standard uncertainty `u` is no
/// larger than `tolerance` in magnitude. Millimetres; `u > 0`.
#[must_use]
pub fn form_conforms(d: f64, tolerance: f64, u: f64) -> f64 {
    between(Some(tolerance + d), Some(tolerance - d), u)
}

/// Probability that the minimum zone of a surface or line is no wider than `tolerance`, when that of `points` heights
/// is `width` and `u` is the root of two times the standard deviation of one height. Millimetres; `u > 0`.
///
/// A zone rests on a few heights whose shares add to one above and to one below, so its width varies by no more than
/// `u`; and it is never narrower, but for that, than the one of the true surface. So a surface that is just at the
/// tolerance is called inside in no more than the asked share of sets. But noise widens it: by no more than the range of
/// the errors, which is over `x` with a probability of at most `n (n - 1) (1 - Phi(x / u))` (each of the pairs counted
/// for itself). Beyond is therefore said only of what the noise of so many heights does not explain. Worked out here.
#[must_use]
pub fn zone_conforms(width: f64, tolerance: f64, u: f64, points: usize) -> f64 {
    let over = width - tolerance;
    let one = phi(-over / u);
    if over <= 0.0 { one } else { (pairs_twice(points) * one).min(0.5) }
}

/// Probability that the minimum zone of `points` heights of a surface just at the tolerance is no wider than `shown`: at
/// least so much, by the same bound.
#[must_use]
pub fn zone_shows(shown: f64, tolerance: f64, u: f64, points: usize) -> f64 {
    (1.0 - pairs_twice(points) * phi((tolerance - shown) / u)).max(0.0)
}

/// What the minimum zone of `points` heights of a perfect surface exceeds in fewer than 5 of 100 sets, in units of the
/// `u` of [`zone_conforms`]: by the same bound. Two points or more.
#[must_use]
pub fn zone_floor(points: usize) -> f64 {
    -crate::metrology::quantiles::normal(0.05 / pairs_twice(points.max(2)))
}

fn pairs_twice(points: usize) -> f64 {
    let number = count(points);
    number * (number - 1.0)
}

/// Where a probability of conformity puts a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Certainty {
    /// Conforms with at least the asked probability.
    Inside,
    /// Does not conform with at least the asked probability.
    Beyond,
    /// Neither.
    Neither,
}

/// Decides by one rule: `p` at least `level` proves inside, at most `1 - level` proves beyond. Within
/// [`ERROR_BOUND`] of either level nothing is proven.
#[must_use]
pub fn decide(p: f64, level: f64) -> Certainty {
    if p >= level + ERROR_BOUND {
        Certainty::Inside
    } else if p <= 1.0 - level - ERROR_BOUND {
        Certainty::Beyond
    } else {
        Certainty::Neither
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn over(value: f64, limit: f64, repeat: f64) -> PlaceMargin {
        PlaceMargin { low: Some(value - limit), high: None, repeat }
    }

    /// Four readings each 0.0002 over the limit, repeat 0.000075, shared 0.0001: 0.86, one
    /// such reading alone 0.945 (computed there by numerical integration with scipy).
    #[test]
    fn four_places_are_less_sure_than_one() {
        let place = over(0.0002, 0.0, 0.000_075);
        assert!((all_places_conform(&[place; 4], 0.0001) - 0.86).abs() < 0.005);
        assert!((all_places_conform(&[place], 0.0001) - 0.945).abs() < 0.001);
    }

    /// Computed with scipy: form of one plane and of two.
    #[test]
    fn form_of_planes() {
        let u = 2.0_f64.sqrt() * 0.0001;
        assert!((form_conforms(0.0001, 0.0002, u) - 0.743).abs() < 0.001);
        assert!((form_conforms(0.0, 0.0002, u) - 0.842_701).abs() < 1e-6);
        assert!((form_conforms(0.0, 0.0002, u).powi(2) - 0.710_145).abs() < 1e-6);
    }

    #[test]
    fn nothing_shared_is_a_plain_product() {
        let places = [over(0.001, 0.0, 0.001), over(0.002, 0.0, 0.001)];
        assert!((all_places_conform(&places, 0.0) - phi(1.0) * phi(2.0)).abs() < 1e-12);
    }

    #[test]
    fn inside_the_error_bound_nothing_is_decided() {
        assert_eq!(decide(0.95, 0.95), Certainty::Neither);
        assert_eq!(decide(0.950_01, 0.95), Certainty::Inside);
        assert_eq!(decide(0.049_99, 0.95), Certainty::Beyond);
        assert_eq!(decide(0.5, 0.95), Certainty::Neither);
    }

    /// The slow, obvious way: Simpson's rule with a hundredfold finer step.
    fn slowly(places: &[PlaceMargin], shared: f64) -> f64 {
        let steps = 20_000_u32;
        let h = 16.0 / f64::from(steps);
        let f = |z: f64| {
            density(z)
                * places
                    .iter()
                    .map(|p| {
                        let high = p.high.map_or(1.0, |h| phi((h - shared * z) / p.repeat));
                        let low = p.low.map_or(0.0, |l| phi((-l - shared * z) / p.repeat));
                        (high - low).max(0.0)
                    })
                    .product::<f64>()
        };
        (0..=steps)
            .map(|i| {
                let weight = if i == 0 || i == steps {
                    1.0
                } else if i % 2 == 1 {
                    4.0
                } else {
                    2.0
                };
                weight * f(-8.0 + f64::from(i) * h)
            })
            .sum::<f64>()
            * h
            / 3.0
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        /// Both ways agree a hundred times better than the stated bound, for any mix of scales a shop has.
        #[test]
        fn agrees_with_the_slow_way(
            values in proptest::collection::vec((-5.0_f64..5.0, 0.2_f64..3.0, proptest::bool::ANY), 1..6),
            shared in 0.05_f64..4.0,
        ) {
            let places: Vec<_> = values.iter().map(|&(v, repeat, two)| PlaceMargin {
                low: Some(v), high: two.then_some(6.0 - v), repeat,
            }).collect();
            let difference = (all_places_conform(&places, shared) - slowly(&places, shared)).abs();
            prop_assert!(difference < ERROR_BOUND / 100.0, "{difference}");
        }
    }
}
