//! Student's t and Fisher's F, through the incomplete beta function, and quantiles by halving.
//!
//! The continued fraction of the incomplete beta function is that of NIST's Digital Library of Mathematical
//! Functions, 8.17.22, evaluated by Lentz's method; it converges for `x < (a + 1) / (a + b + 2)` and the symmetry
//! `I_x(a, b) = 1 - I_(1-x)(b, a)` covers the rest. Probabilities are off by less than 1e-11 up to a thousand degrees
//! of freedom, Student's factors by less than 1e-9 of themselves for any number of them (compared with another library
//! in `tests/peer_numbers.rs`).

use crate::metrology::normal::phi;

/// From here on Student's factor is the normal one with three terms of its expansion.
const MANY: f64 = 1e4;

/// Where a rising function crosses zero between `low` and `high`, by halving until `close` or nothing is left to halve.
pub(super) fn crossing(mut low: f64, mut high: f64, close: f64, rising: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high || high - low <= close {
            break;
        }
        if rising(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The same of a smooth function that is dear to compute, to where it is within `near` of zero: by secants, where an end that
/// stays twice counts half (the Illinois rule), some seven steps where halving takes twenty.
pub(super) fn smooth_crossing(low: f64, high: f64, near: f64, rising: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = ((low, rising(low)), (high, rising(high)));
    let mut stayed = 0;
    for _ in 0..100 {
        let at = (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1);
        let value = rising(at);
        if value.abs() <= near {
            return at;
        }
        let side = if value < 0.0 { -1 } else { 1 };
        if side < 0 {
            low = (at, value);
            high.1 *= if stayed == side { 0.5 } else { 1.0 };
        } else {
            high = (at, value);
            low.1 *= if stayed == side { 0.5 } else { 1.0 };
        }
        stayed = side;
    }
    crossing(low.0, high.0, near, rising)
}

/// The standard normal value that `p` of all lie below: 1.645 for 0.95. `p` strictly between 0 and 1.
#[must_use]
pub fn normal(p: f64) -> f64 {
    crossing(-40.0, 40.0, 0.0, |z| phi(z) - p)
}

/// Student's factor: `p` of all values lie within plus or minus this many standard uncertainties estimated with
/// `freedom` degrees of freedom (any positive number, infinity for a known uncertainty). JCGM 100, G.3.
/// `p` strictly between 0 and 1.
#[must_use]
pub fn student(p: f64, freedom: f64) -> f64 {
    if freedom >= MANY {
        return many(normal(0.5 + 0.5 * p), freedom);
    }
    // By the logarithm, since half a degree of freedom has factors of many thousands.
    crossing(-30.0, 60.0, 0.0, |log| within(log.exp(), freedom) - p).exp()
}

/// Student's factor from the normal one, `z`, for many degrees of freedom: Abramowitz and Stegun 26.7.5. What is left
/// out is under 1e-13 of it from ten thousand on, where z is under 5.
fn many(z: f64, freedom: f64) -> f64 {
    let square = z * z;
    let first = (square + 1.0) / 4.0;
    let second = ((5.0 * square + 16.0) * square + 3.0) / 96.0;
    let third = (((3.0 * square + 19.0) * square + 17.0) * square - 15.0) / 384.0;
    z * (1.0 + (first + (second + third / freedom) / freedom) / freedom)
}

/// Probability that Student's t of these degrees of freedom lies within plus or minus `t`.
fn within(t: f64, freedom: f64) -> f64 {
    let square = t * t;
    // The smaller of x and 1 - x is formed directly, so that neither end loses its digits.
    incomplete_beta(square / (freedom + square), freedom / (freedom + square), 0.5, 0.5 * freedom)
}

/// Probability that Fisher's F with these degrees of freedom of numerator and denominator is at least `f`.
#[must_use]
pub fn fisher_beyond(f: f64, numerator: f64, denominator: f64) -> f64 {
    if f <= 0.0 {
        return 1.0;
    }
    let sum = denominator + numerator * f;
    incomplete_beta(denominator / sum, numerator * f / sum, 0.5 * denominator, 0.5 * numerator)
}

/// The regularised incomplete beta function at `x`, whose complement `1 - x` comes along; `a`, `b` positive.
fn incomplete_beta(x: f64, complement: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if complement <= 0.0 {
        return 1.0;
    }
    let log = libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b) + a * x.ln() + b * complement.ln();
    if x < (a + 1.0) / (a + b + 2.0) {
        log.exp() * fraction(x, a, b) / a
    } else {
        1.0 - log.exp() * fraction(complement, b, a) / b
    }
}

/// The continued fraction, by Lentz's method.
fn fraction(x: f64, a: f64, b: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let safe = |value: f64| if value.abs() < TINY { TINY } else { value };
    let mut c = 1.0;
    let mut d = 1.0 / safe(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    for step in 1..20_000 {
        let m = f64::from(step);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        let mut change = 1.0;
        for term in [even, odd] {
            d = 1.0 / safe(1.0 + term * d);
            c = safe(1.0 + term / c);
            change = c * d;
            value *= change;
        }
        if (change - 1.0).abs() < 1e-16 {
            break;
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Closed forms: one degree of freedom is Cauchy's, t = tan(pi p / 2); two are p sqrt(2 / (1 - p^2)).
    #[test]
    fn agrees_with_closed_forms() {
        for p in [0.1, 0.5, 0.68, 0.95, 0.9545, 0.99, 0.999, 0.999_9] {
            let one = (PI * p / 2.0).tan();
            assert!((student(p, 1.0) / one - 1.0).abs() < 1e-10, "{p}");
            let two = p * (2.0 / (1.0 - p * p)).sqrt();
            assert!((student(p, 2.0) / two - 1.0).abs() < 1e-10, "{p}");
        }
    }

    /// Two degrees of freedom in the numerator: P(F >= f) = (1 + 2 f / d)^(-d / 2).
    #[test]
    fn fisher_agrees_with_its_closed_form() {
        for d in [1.0_f64, 4.0, 18.0, 60.0, 1000.0] {
            for f in [0.01, 0.434, 1.0, 3.3, 40.0] {
                let closed = (1.0 + 2.0 * f / d).powf(-d / 2.0);
                assert!((fisher_beyond(f, 2.0, d) - closed).abs() < 1e-12, "{f} {d}");
            }
        }
        assert!((fisher_beyond(0.0, 3.0, 4.0) - 1.0).abs() < 1e-15);
    }

    /// Student's density summed by small steps: the obvious second way, for degrees of freedom that are no integers.
    #[test]
    fn agrees_with_summing_the_density() {
        for freedom in [0.7, 3.5, 16.752, 240.0] {
            let log =
                libm::lgamma((freedom + 1.0) / 2.0) - libm::lgamma(freedom / 2.0) - 0.5 * (freedom * PI).ln();
            let density = |t: f64| (log - (freedom + 1.0) / 2.0 * (t * t / freedom).ln_1p()).exp();
            let t = student(0.95, freedom);
            let steps = 400_000;
            let h = t / f64::from(steps);
            let sum: f64 = (0..steps).map(|i| density((f64::from(i) + 0.5) * h)).sum::<f64>() * 2.0 * h;
            assert!((sum - 0.95).abs() < 1e-8, "{freedom}: {sum}");
        }
    }

    #[test]
    fn many_degrees_of_freedom_are_normal() {
        assert!((student(0.95, f64::INFINITY) - 1.959_963_984_540_054).abs() < 1e-12);
        assert!(
            (student(0.95, 1e4 - 1e-6) - student(0.95, 1e4)).abs() < 1e-10,
            "no step where the series begins"
        );
    }
}
