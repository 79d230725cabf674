//! Repeats of one place: when their spread is more than the gauge explains.

/// 95 percent point of the range of `n` normal readings in units of their standard deviation: the
/// studentised range with infinite degrees of freedom. 2.77, 3.31 and 3.63 for two, three and four are
/// those of the design; the rest are from the published table of that distribution (recalled, and compared
/// with an integration in the tests). Beyond twenty the value for twenty is used, which asks a little more.
#[must_use]
pub fn range_factor(n: usize) -> f64 {
    const FACTORS: [f64; 19] = [
        2.772, 3.314, 3.633, 3.858, 4.030, 4.170, 4.286, 4.387, 4.474, 4.552, 4.622, 4.685, 4.743, 4.796,
        4.845, 4.891, 4.934, 4.974, 5.012,
    ];
    let index = n.saturating_sub(2).min(FACTORS.len() - 1);
    FACTORS.get(index).copied().unwrap_or(5.012)
}

/// The most readings of one place in one condition that are averaged; more is a sign of a broken sender.
pub const MOST_REPEATS: usize = 99;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::normal::{density, phi};

    /// P(range <= w) = n * integral phi(x) (Phi(x + w) - Phi(x))^(n-1) dx: the textbook definition.
    fn range_distribution(w: f64, n: usize) -> f64 {
        let h = 0.002;
        let power = i32::try_from(n - 1).expect("small");
        (0..10_000)
            .map(|i| -10.0 + f64::from(i) * h)
            .map(|x| density(x) * (phi(x + w) - phi(x)).powi(power))
            .sum::<f64>()
            * h
            * f64::from(power + 1)
    }

    #[test]
    fn factors_leave_five_percent() {
        for n in 2..=20 {
            let p = range_distribution(range_factor(n), n);
            assert!((p - 0.95).abs() < 3e-4, "{n}: {p}");
        }
    }
}
