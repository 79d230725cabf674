//! What a rule of acceptance costs over many parts: how often a bad one is taken and a good one turned away.
//!
//! JCGM 106:2012, 9.5 (global risk): a process gives values with some density, a measurement adds a normal error, and
//! what is read between the acceptance limits is taken. Both risks are one integral over the true value.

use crate::metrology::normal::between;

/// Limits on both sides; an infinite one is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Lower.
    pub low: f64,
    /// Upper.
    pub high: f64,
}

impl Limits {
    fn hold(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Probability that a true value is read between them.
    fn taken(&self, value: f64, u: f64) -> f64 {
        between(Some(value - self.low), Some(self.high - value), u)
    }
}

/// Shares of all parts made, each between 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Risk {
    /// Beyond the limits, whatever is read.
    pub beyond: f64,
    /// Beyond the limits and taken (the consumer's).
    pub wrongly_taken: f64,
    /// Within the limits and turned away (the producer's).
    pub wrongly_refused: f64,
}

/// What a process makes: the density of its values, zero outside `reach`.
pub struct Process<'a> {
    /// Probability density per unit of the value.
    pub density: &'a dyn Fn(f64) -> f64,
    /// Where the density is worth counting.
    pub reach: Limits,
}

/// Risks when values between the `limits` are good, and what a gauge of standard uncertainty `u > 0` reads between
/// the `accepted` limits is taken. Simpson's rule between limits and ends, where the integrand is smooth: off by
/// less than 1e-9 for densities that a few hundred steps can follow.
#[must_use]
pub fn risk(process: &Process<'_>, limits: Limits, accepted: Limits, u: f64) -> Risk {
    let mut cuts = vec![process.reach.low, process.reach.high];
    cuts.extend([limits.low, limits.high].into_iter().filter(|cut| process.reach.hold(*cut)));
    cuts.sort_by(f64::total_cmp);
    let mut risk = Risk { beyond: 0.0, wrongly_taken: 0.0, wrongly_refused: 0.0 };
    for ends in cuts.windows(2) {
        let [from, to] = ends else { continue };
        let taken = |value: f64| (process.density)(value) * accepted.taken(value, u);
        if limits.hold(0.5 * (from + to)) {
            risk.wrongly_refused += integral(*from, *to, |value| (process.density)(value) - taken(value));
        } else {
            risk.beyond += integral(*from, *to, process.density);
            risk.wrongly_taken += integral(*from, *to, taken);
        }
    }
    risk
}

/// Simpson's rule.
fn integral(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    const STEPS: u32 = 4_000;
    let h = (to - from) / f64::from(STEPS);
    let inner = (1..STEPS).map(|i| f(from + f64::from(i) * h) * if i % 2 == 1 { 4.0 } else { 2.0 });
    (f(from) + inner.sum::<f64>() + f(to)) * h / 3.0
}

/// How well a centred process fits its limits: the nearer limit's distance over three standard deviations `s > 0`.
#[must_use]
pub fn capability(mean: f64, s: f64, limits: Limits) -> f64 {
    (mean - limits.low).min(limits.high - mean) / (3.0 * s)
}
