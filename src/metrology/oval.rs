//! An oval from three diameters 60 degrees apart.
//!
//! A diameter at angle t of a round surface made oval is `D + (o / 2) cos 2 (t - t0)`: mean D, ovality o, long
//! axis t0. Three diameters 60 degrees apart fix all three; two fixed ones miss an oval that lies between them.

use crate::metrology::length::Exact;
use crate::metrology::normal::{between, density};

/// Three diameters 60 degrees apart, in the order of their angles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ThreeDiameters {
    /// At 0, 60 and 120 degrees.
    pub at: [Exact; 3],
}

impl ThreeDiameters {
    /// Largest less smallest of the three: between 0.75 and 0.866 of the oval through them.
    #[must_use]
    pub fn range(&self) -> Exact {
        let [a, b, c] = self.at;
        a.max(b).max(c) - a.min(b).min(c)
    }

    /// Largest less smallest diameter of the oval through them, (4/3) sqrt(a2 + b2 + c2 - ab - bc - ca), rounded
    /// once to the nearest grid unit.
    #[must_use]
    pub fn ovality(&self) -> Exact {
        let [a, b, c] = self.at;
        // The root is half of the sum of the squared differences; 16/9 of that is 8/9 of the sum.
        Exact::root_of_squares(&[a - b, b - c, c - a], (8, 9))
    }

    /// Angle of the long axis from the first diameter towards the second, degrees, 0 to under 180; `None` of
    /// three alike.
    #[must_use]
    pub fn long_axis(&self) -> Option<f64> {
        let [a, b, c] = self.at.map(Exact::to_mm);
        let (along, across) = ((2.0 * a - b - c) / 3.0, (b - c) / 3_f64.sqrt());
        (self.range() > Exact::ZERO).then(|| (across.atan2(along).to_degrees() / 2.0).rem_euclid(180.0))
    }

    /// The diameter a quarter turn from the first, less the first: positive when it is wider across than along.
    /// Of the oval through the three this is (4/3) ((b + c) / 2 - a), exactly.
    #[must_use]
    pub fn wider_across(&self) -> Exact {
        let [a, b, c] = self.at;
        (b + c - a * 2).part(2, 3)
    }
}

/// What one reading's standard deviation is multiplied by to give that of either component of the oval, and of
/// `wider_across`: the square root of 8/3.
pub const OVAL_FACTOR: f64 = 1.632_993_161_855_452;

/// Probability that an oval seen as `ovality`, whose two components each have standard deviation `u`, is truly no
/// larger than `tolerance`: the normal density of a plane over a disc, by Simpson's rule over its chords to
/// within 1e-7. Millimetres; `u > 0`.
#[must_use]
pub fn oval_conforms(ovality: f64, tolerance: f64, u: f64) -> f64 {
    in_disc([ovality, 0.0], tolerance, [u, u])
}

/// Probability that an arrow seen as `seen` is truly no longer than `tolerance`, when its two components err apart from each
/// other with standard deviations `u`, the first no more than the second: the normal density of a plane over a disc, by
/// Simpson's rule over its chords. Millimetres; both `u > 0`.
#[must_use]
pub fn in_disc([first, second]: [f64; 2], tolerance: f64, [u, across]: [f64; 2]) -> f64 {
    const STEPS: u32 = 4_000;
    const REACH: f64 = 8.0;
    let (seen, radius, side, wide) = (first / u, tolerance / u, second / u, across / u);
    let (from, to) = ((-radius).max(seen - REACH), radius.min(seen + REACH));
    if from >= to {
        return 0.0;
    }
    // Chords end in a square root; by the angle from the end they end flat.
    let (start, end) = ((-from / radius).clamp(-1.0, 1.0).acos(), (-to / radius).clamp(-1.0, 1.0).acos());
    let h = (end - start) / f64::from(STEPS);
    let slice = |turn: f64| {
        let (sine, cosine) = turn.sin_cos();
        let half = radius * sine;
        density(-radius * cosine - seen) * between(Some(half + side), Some(half - side), wide) * half
    };
    let inner = (1..STEPS).map(|i| {
        let weight = if i % 2 == 1 { 4.0 } else { 2.0 };
        weight * slice(start + f64::from(i) * h)
    });
    let sum = slice(start) + inner.sum::<f64>() + slice(end);
    (sum * h / 3.0).clamp(0.0, 1.0)
}

/// The 95 percent point of the largest oval that `planes` perfect planes show, in units of `u`: one plane's
/// square is exponential, so its point is sqrt(-2 ln(1 - 0.95^(1/n))).
#[must_use]
pub fn oval_floor(planes: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a handful of planes")]
    let each = 0.95_f64.powf(1.0 / planes.max(1) as f64);
    (-2.0 * (1.0 - each).ln()).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::{Length, Unit};
    use proptest::prelude::*;

    fn of(mm: [f64; 3]) -> ThreeDiameters {
        let at = |mm: f64| Length::parse(&format!("{mm:.5}"), Unit::Millimetre).expect("digits").exact();
        ThreeDiameters { at: mm.map(at) }
    }

    /// Diameters of an oval, by the definition.
    fn oval(mean: f64, ovality: f64, axis: f64, angle: f64) -> f64 {
        mean + ovality / 2.0 * (2.0 * (angle - axis)).to_radians().cos()
    }

    proptest! {
        /// Trade notes B1: three directions 60 degrees apart find any oval, wherever it lies.
        #[test]
        fn three_directions_find_any_oval(size in 0.01_f64..0.2, axis in 0.0_f64..180.0) {
            let three = of([0.0, 60.0, 120.0].map(|angle| oval(60.0, size, axis, angle)));
            // Readings are rounded to 0.00001 mm here.
            prop_assert!((three.ovality().to_mm() - size).abs() < 2e-5, "{:?}", three);
            let off = (three.long_axis().expect("oval") - axis).rem_euclid(180.0);
            prop_assert!(off.min(180.0 - off) < 0.1, "{}", off);
            let across = oval(60.0, size, axis, 90.0) - oval(60.0, size, axis, 0.0);
            prop_assert!((three.wider_across().to_mm() - across).abs() < 2e-5);
            let share = three.range().to_mm() / size;
            prop_assert!((0.748..0.868).contains(&share), "{}", share);
        }
    }

    /// Trade notes B1: two fixed directions see nothing of an oval at 45 degrees to them, 71 percent at 22.5,
    /// 50 at 30; vertical against 45, 30 and 25 degrees from the parting line shows 50, 75 and 82 percent.
    #[test]
    fn what_two_fixed_directions_see() {
        let seen = |first: f64, second: f64| oval(0.0, 1.0, 0.0, first) - oval(0.0, 1.0, 0.0, second);
        for (turned, share) in [(45.0, 0.0), (22.5, 0.707), (30.0, 0.5), (0.0, 1.0)] {
            assert!((seen(turned, turned + 90.0) - share).abs() < 5e-4, "{turned}");
        }
        for (from_parting, share) in [(45.0, 0.50), (30.0, 0.75), (25.0, 0.82)] {
            assert!((seen(0.0, 90.0 - from_parting) - share).abs() < 2e-3, "{from_parting}");
        }
    }

    #[test]
    fn the_root_is_exact_where_it_is_whole() {
        // a = 3, b = c = 0: the sum of squared differences is 18, 8/9 of it 16, its root 4.
        let three = of([0.003, 0.0, 0.0]);
        assert_eq!(three.ovality(), of([0.004, 0.0, 0.0]).at[0]);
        assert_eq!(of([2.0; 3]).ovality(), Exact::ZERO);
        assert_eq!(of([2.0; 3]).long_axis(), None);
    }

    /// The same of an arrow whose components are not equally sure.
    #[test]
    fn chance_of_an_arrow_agrees_with_counting() {
        for (seen, tolerance, u) in
            [([1.0, 0.5], 2.0, [0.3, 1.0]), ([0.0, -1.5], 1.0, [0.5, 0.9]), ([0.2, 3.0], 2.5, [0.05, 1.0])]
        {
            let h = 0.005;
            let mut p = 0.0;
            for i in -600..600 {
                for j in -600..600 {
                    let (x, y) = (f64::from(i) * h + h / 2.0, f64::from(j) * h + h / 2.0);
                    if x.hypot(y) <= tolerance {
                        let at = density((x - seen[0]) / u[0]) * density((y - seen[1]) / u[1]);
                        p += at * h * h / (u[0] * u[1]);
                    }
                }
            }
            let got = in_disc(seen, tolerance, u);
            assert!((got - p).abs() < 1e-3, "{seen:?} {tolerance} {u:?}: {got} against {p}");
        }
        // Where the first component is all but certain the second alone is left.
        let got = in_disc([0.3, 0.2], 0.5, [1e-6, 0.7]);
        assert!((got - between(Some(0.6), Some(0.2), 0.7)).abs() < 1e-5, "{got}");
    }

    /// A second, slow way: counting a fine grid of the plane.
    #[test]
    fn chance_of_an_oval_agrees_with_counting() {
        for (ovality, tolerance) in [(0.0, 1.0), (0.0, 3.0), (1.0, 1.0), (2.5, 2.0), (0.3, 0.1), (4.0, 6.5)] {
            let h = 0.01;
            let mut p = 0.0;
            for i in -900..900 {
                for j in -900..900 {
                    let (x, y) = (f64::from(i) * h + h / 2.0, f64::from(j) * h + h / 2.0);
                    if (ovality + x).hypot(y) <= tolerance {
                        p += density(x) * density(y) * h * h;
                    }
                }
            }
            let got = oval_conforms(ovality, tolerance, 1.0);
            assert!((got - p).abs() < 1e-3, "{ovality} {tolerance}: {got} against {p}");
        }
        // Seen round, the plane has a closed form: 1 - exp(-r2 / 2).
        let closed = 1.0 - (-2.0_f64).exp();
        assert!((oval_conforms(0.0, 2.0, 1.0) - closed).abs() < 1e-7);
        assert!((oval_conforms(0.0, oval_floor(1), 1.0) - 0.95).abs() < 1e-7);
        assert!((oval_conforms(0.0, oval_floor(2), 1.0).powi(2) - 0.95).abs() < 1e-7);
    }
}
