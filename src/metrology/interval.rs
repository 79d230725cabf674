//! A value of which two ends are known, and nothing between them.
//!
//! A feeler read by feel or a gauging strip leaves so much to either side. One blade that goes in and the next that does
//! not leave what lies between them, and then each end is as sure as its blade is. Between the ends the value is anywhere
//! with equal chance (JCGM 100, 4.3.7): it is `(1 - v)` of the lower and `v` of the upper end for a `v` anywhere in 0 to
//! 1, and with ends that err normally and apart from each other it is normal for each such `v`. (JCGM 101, 6.4.3, has the
//! rectangle whose ends are not known for certain with both ends off by one amount, recalled; blades err each for itself.)

use crate::metrology::normal::phi;

/// Where a value lies, seen from its middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Half the distance of the ends, millimetres, as all here. More than 0.
    pub half: f64,
    /// Standard uncertainty of the lower and of the upper end; 0 of an end that is taken as it is.
    pub ends: [f64; 2],
}

impl Interval {
    /// Of so much to either side, and no more.
    #[must_use]
    pub const fn plain(half: f64) -> Self {
        Self { half, ends: [0.0, 0.0] }
    }

    /// Its standard uncertainty: half the width over the root of three, and a third of the square of that of each end.
    #[must_use]
    pub fn u(&self) -> f64 {
        let [low, high] = self.ends;
        (self.half / 3_f64.sqrt()).hypot((low / 3_f64.sqrt()).hypot(high / 3_f64.sqrt()))
    }

    /// What it can be off by: of ends that are not known for certain, with twice their uncertainty.
    #[must_use]
    pub fn most(&self) -> f64 {
        let [low, high] = self.ends;
        self.half + 2.0 * low.max(high)
    }

    /// Of so many times the value.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        let [low, high] = self.ends.map(|end| end * factor.abs());
        let ends = if factor < 0.0 { [high, low] } else { [low, high] };
        Self { half: self.half * factor.abs(), ends }
    }

    /// Probability that the value lies inside its limits: `low` is its middle less the lower limit, `high` the upper
    /// limit less its middle.
    #[must_use]
    pub fn conforms(&self, low: Option<f64>, high: Option<f64>) -> f64 {
        let (over, under) =
            (high.map_or(1.0, |high| self.below(high)), low.map_or(0.0, |low| self.below(-low)));
        (over - under).clamp(0.0, 1.0)
    }

    /// Probability that it is no more than so much above its middle.
    fn below(&self, above: f64) -> f64 {
        /// Ends are followed so many standard uncertainties to either side.
        const REACH: f64 = 8.0;
        const STEPS: u16 = 1_000;
        let ([low, high], width) = (self.ends, 2.0 * self.half);
        let share = |of: f64| ((above + self.half + of) / width).clamp(0.0, 1.0);
        let reach = REACH * low.max(high);
        let (from, to) = (share(-reach), share(reach));
        // Ends that are certain leave nothing to add up.
        if to <= from {
            return from;
        }
        // By the middle of each step: an end that is certain has no width to stand on.
        let step = (to - from) / f64::from(STEPS);
        let inside = (0..STEPS).map(|at| {
            let share = from + (f64::from(at) + 0.5) * step;
            let u = ((1.0 - share) * low).hypot(share * high);
            if u > 0.0 { phi((above + self.half - width * share) / u) } else { 0.0 }
        });
        from + step * inside.sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The share of an interval that lies inside, counted by small steps: the obvious second way.
    #[test]
    fn an_interval_is_a_rectangle() {
        let counted = |low: Option<f64>, high: Option<f64>, half: f64| {
            let inside = (0..20_000).filter(|i| {
                let e = -half + (f64::from(*i) + 0.5) * half / 10_000.0;
                low.is_none_or(|low| low + e >= 0.0) && high.is_none_or(|high| high - e >= 0.0)
            });
            f64::from(u32::try_from(inside.count()).expect("few")) / 20_000.0
        };
        let ends = [None, Some(-2.0), Some(-0.4), Some(0.0), Some(0.3), Some(5.0)];
        for low in ends {
            for high in ends {
                let p = Interval::plain(1.0).conforms(low, high);
                assert!((p - counted(low, high, 1.0)).abs() < 1e-4, "{low:?} {high:?}: {p}");
            }
        }
    }

    /// Both ends drawn in steps of a twentieth of their uncertainty, and what lies between them counted.
    fn slowly(interval: &Interval, above: f64) -> f64 {
        let draws = || (-120..=120).map(|k| f64::from(k) / 20.0);
        let weight = |z: f64| (-z * z / 2.0).exp();
        let (mut sum, mut all) = (0.0, 0.0);
        for (a, b) in draws().flat_map(|a| draws().map(move |b| (a, b))) {
            let (low, high) = (-interval.half + a * interval.ends[0], interval.half + b * interval.ends[1]);
            // Ends that changed places have the value between them all the same.
            let share = ((above - low.min(high)) / (high - low).abs()).clamp(0.0, 1.0);
            sum += weight(a) * weight(b) * share;
            all += weight(a) * weight(b);
        }
        sum / all
    }

    #[test]
    fn ends_that_err_agree_with_the_slow_way() {
        for ends in [[0.0, 0.3], [0.3, 0.0], [0.1, 0.2], [0.24, 0.24]] {
            let interval = Interval { half: 1.0, ends };
            for above in [-1.6, -1.0, -0.7, 0.0, 0.2, 0.9, 1.0, 1.3] {
                let (p, slow) = (interval.conforms(None, Some(above)), slowly(&interval, above));
                assert!((p - slow).abs() < 2e-4, "{ends:?} {above}: {p} {slow}");
                let both =
                    interval.conforms(Some(0.5), Some(above)) - (p - interval.conforms(None, Some(-0.5)));
                assert!(both.abs() < 1e-9 || above < -0.5, "{ends:?} {above}");
            }
        }
    }

    /// The variance of `(1 - v) a + v b` with `v` a rectangle from 0 to 1: `(b - a)^2 / 12`, and a third of that of each
    /// end, since the mean of `v^2` is a third. By hand: half 3, ends 3 and 6: 9/3 + 9/3 + 36/3 = 18.
    #[test]
    fn each_end_adds_a_third_of_its_variance() {
        let interval = Interval { half: 3.0, ends: [3.0, 6.0] };
        assert!((interval.u() - 18_f64.sqrt()).abs() < 1e-12);
        assert_eq!(interval.scaled(-2.0), Interval { half: 6.0, ends: [12.0, 6.0] });
    }
}
