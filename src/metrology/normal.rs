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
