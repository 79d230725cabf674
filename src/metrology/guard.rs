//! Acceptance zones: the readings that prove conformity, for those who want an interval and not a probability.
//!
//! The house decides by probability ([`crate::metrology::proof`]). For one limit, or a tolerance wide against the
//! uncertainty, that is the same as keeping `factor u` away from each limit, with the normal quantile of the level
//! as the factor: 1.645 for 0.95 (ISO 14253-1:2017, recalled). Older editions keep 2 u.

/// Lower and upper end of the readings that are accepted when `factor` standard uncertainties `u` are kept from each
/// limit; `None` on the side of no limit. The whole is `None` where no reading would be accepted. One unit throughout.
#[must_use]
pub fn zone(low: Option<f64>, high: Option<f64>, u: f64, factor: f64) -> Option<(Option<f64>, Option<f64>)> {
    let (from, to) = (low.map(|low| low + factor * u), high.map(|high| high - factor * u));
    let is_empty = from.zip(to).is_some_and(|(from, to)| from > to);
    (!is_empty).then_some((from, to))
}

/// Tolerance over the whole width of the expanded uncertainty, `T / (2 U)`: at four and above the number may decide
/// alone (ASME B89.7.3.1-2001, recalled). `expanded > 0`, in the unit of the tolerance.
#[must_use]
pub fn ratio(tolerance: f64, expanded: f64) -> f64 {
    tolerance / (2.0 * expanded)
}

/// The smallest uncertainty with which nothing between two limits can be proven at this level: the best reading, in
/// the middle, conforms with `2 Phi(T / 2u) - 1`. 0.255 of the tolerance for 0.95.
#[must_use]
pub fn too_coarse(tolerance: f64, level: f64) -> f64 {
    0.5 * tolerance / crate::metrology::quantiles::normal(0.5 + 0.5 * level)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::normal::between;

    #[test]
    fn a_zone_can_be_empty() {
        assert_eq!(zone(Some(0.0), Some(1.0), 0.3, 2.0), None);
        assert_eq!(zone(None, None, 0.3, 2.0), Some((None, None)));
    }

    /// The probability it is said to stand for.
    #[test]
    fn at_the_coarsest_the_middle_is_just_proven() {
        let u = too_coarse(0.0005, 0.95);
        assert!((between(Some(0.000_25), Some(0.000_25), u) - 0.95).abs() < 1e-12);
        assert!((2.0 * u / 0.0005 - 0.51).abs() < 0.001, "U is 0.51 of the tolerance");
    }
}
