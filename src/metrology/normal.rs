//! The standard normal distribution.

/// Standard normal distribution function, from the complementary error function:
/// Phi(x) = erfc(-x / sqrt 2) / 2 (Abramowitz and Stegun 26.2.29).
#[must_use]
pub fn phi(x: f64) -> f64 {
    0.5 * libm::erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}

/// Standard normal density at `x`.
#[must_use]
pub fn density(x: f64) -> f64 {
    const ONE_OVER_SQRT_TWO_PI: f64 = 0.398_942_280_401_432_7;
    ONE_OVER_SQRT_TWO_PI * (-0.5 * x * x).exp()
}

/// Probability that a normal value of standard deviation `u`, seen `low` above its lower and `high` below its
/// upper limit, lies between them. `None` stands for no limit on that side. Lengths in one unit, `u > 0`.
#[must_use]
pub fn between(low: Option<f64>, high: Option<f64>, u: f64) -> f64 {
    let below_high = high.map_or(1.0, |h| phi(h / u));
    let below_low = low.map_or(0.0, |l| phi(-l / u));
    (below_high - below_low).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// checks.md P2.1a (JCGM 106 table 1, recalled there; recomputed with scipy): one-sided factors.
    #[test]
    fn one_sided_factors() {
        for (p, z) in [(0.80, 0.841_6), (0.90, 1.281_6), (0.95, 1.644_9), (0.99, 2.326_3), (0.999, 3.090_2)] {
            assert!((phi(z) - p).abs() < 1e-4, "{z}");
        }
    }

    /// checks.md P2.1b, P2.1c and 2.2 (JCGM 106 examples, recalled; scipy).
    #[test]
    fn published_conformance_probabilities() {
        assert!((phi((-5.40 + 5.47) / 0.05) - 0.919_24).abs() < 1e-4);
        assert!((between(Some(13.6 - 12.5), Some(16.3 - 13.6), 1.8) - 0.662_63).abs() < 1e-4);
        assert!((between(Some(0.002), Some(0.028), 0.0015) - 0.908_789).abs() < 1e-6);
        assert!((between(None, Some(0.050 - 0.043), 0.004) - 0.959_941).abs() < 1e-6);
    }
}
