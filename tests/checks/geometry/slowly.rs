//! The slow, obvious ways: every group of points that could hold a zone, every candidate for the centre of a ring, a
//! part turned step by step.

use super::mm;
use benchdrop::metrology::form::Form;
use benchdrop::metrology::form::flatness::{self, flatness};
use benchdrop::metrology::form::roundness::{self, limacon_error, roundness};
use benchdrop::metrology::form::straightness::{Line, Station, straightness};
use benchdrop::metrology::{Exact, Length, Unit};
use proptest::prelude::*;
use std::ops::{Add, Mul, Neg};

/// Every group of `size` of the numbers below `count`.
fn groups(count: usize, size: usize) -> Vec<Vec<usize>> {
    if size == 0 {
        return vec![Vec::new()];
    }
    let larger = |group: Vec<usize>| {
        let from = group.last().map_or(0, |last| last + 1);
        (from..count).map(move |next| group.iter().copied().chain([next]).collect())
    };
    groups(count, size - 1).into_iter().flat_map(larger).collect()
}

/// Whole numbers where places lie on a grid, so that nothing is rounded; doubles for angles.
trait Number:
    Copy + PartialOrd + Add<Output = Self> + Mul<Output = Self> + Neg<Output = Self> + From<i8>
{
    fn double(self) -> f64;
}

impl Number for i128 {
    fn double(self) -> f64 {
        self as f64
    }
}

impl Number for f64 {
    fn double(self) -> f64 {
        self
    }
}

fn sum<T: Number>(values: impl Iterator<Item = T>) -> T {
    values.fold(T::from(0), |sum, value| sum + value)
}

/// A determinant, by its first row.
fn determinant<T: Number>(rows: &[Vec<T>]) -> T {
    let Some((first, rest)) = rows.split_first() else { return T::from(1) };
    let without = |column: usize| {
        rest.iter().map(|row| [&row[..column], &row[column + 1..]].concat()).collect::<Vec<_>>()
    };
    sum(first.iter().enumerate().map(|(column, entry)| {
        let term = *entry * determinant(&without(column));
        if column.is_multiple_of(2) { term } else { -term }
    }))
}

/// The zone that these few points (one more than a surface has coefficients) need: some weights add their rows to
/// nothing; whatever surface is taken out, the weighted heights stay, and the best spreads them evenly.
fn zone_of_few<T: Number>(rows: &[Vec<T>], heights: &[T]) -> f64 {
    let weight = |skipped: usize| {
        let others: Vec<_> = (0..rows.len()).filter(|i| *i != skipped).map(|i| rows[i].clone()).collect();
        let weight = determinant(&others);
        if skipped.is_multiple_of(2) { weight } else { -weight }
    };
    let weights: Vec<T> = (0..rows.len()).map(weight).collect();
    let all =
        sum(weights.iter().map(|weight| if *weight < T::from(0) { -*weight } else { *weight })).double();
    let left = sum(weights.iter().zip(heights).map(|(weight, height)| *weight * *height)).double();
    if all > 0.0 { 2.0 * left.abs() / all } else { 0.0 }
}

/// The minimum zone: the widest that any few of the points need.
fn zone<T: Number>(rows: &[Vec<T>], heights: &[T]) -> f64 {
    let few = groups(rows.len(), rows[0].len() + 1);
    let zones = few.iter().map(|group| {
        let rows: Vec<_> = group.iter().map(|i| rows[*i].clone()).collect();
        let heights: Vec<_> = group.iter().map(|i| heights[*i]).collect();
        zone_of_few(&rows, &heights)
    });
    zones.fold(0.0, f64::max)
}

/// In whole steps of 0.00001 mm.
fn steps(value: Exact) -> i128 {
    #[expect(clippy::cast_possible_truncation, reason = "a few metres at most")]
    let steps = (value.to_mm() * 1e5).round() as i128;
    steps
}

/// Holds a form against the slow zone, and everything that must hold of it by itself: `off` says how far a point (by
/// its number) lies over a shape.
fn agrees<S>(form: &Form<S>, slow: f64, off: impl Fn(usize, &S) -> f64) -> Result<(), TestCaseError> {
    for reference in [&form.least_squares, &form.minimum] {
        for (index, deviation) in reference.deviations.iter().enumerate() {
            // Points that hardly fix a shape let its slopes run far; its distance is then a difference of large ones.
            let over = off(index, &reference.shape);
            prop_assert!(
                (over - deviation).abs() < 1e-9,
                "point {index}: {over} over the shape, {deviation} said"
            );
        }
    }
    let (width, least) = (form.minimum.width(), form.least);
    prop_assert!((width - slow).abs() < 1e-11, "{width}, slowly {slow}");
    prop_assert!((width - least).abs() < 1e-12, "{width}, proven {least}");
    prop_assert!(width <= form.least_squares.width() + 1e-13);
    let shift: f64 = form.least_squares.deviations.iter().sum();
    prop_assert!(shift.abs() < 1e-11, "least squares leaves a mean of {shift}");
    Ok(())
}

/// Heights that are often alike, so that many groups hold the zone at once; or not.
fn heights() -> impl Strategy<Value = Vec<f64>> {
    let rough = prop::collection::vec(-2_i32..=2, 16);
    let fine = prop::collection::vec(-30_000_i32..=30_000, 16);
    let of = |steps: f64| move |values: Vec<i32>| values.iter().map(|v| f64::from(*v) * steps).collect();
    prop_oneof![rough.prop_map(of(0.01)), fine.prop_map(of(1e-5))]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]
    /// Grids of few and many points, regular and not, tilted and not.
    #[test]
    fn flatness_agrees_with_every_four_points(
        heights in heights(),
        places in prop::collection::vec((0_u32..=4, 0_u32..=3), 16),
        fine in any::<bool>(),
        count in 5_usize..=12,
        tilt in -20_i32..=20,
    ) {
        let spread = |(i, (x, y)): (usize, &(u32, u32))| {
            let off = if fine { 7.31 * f64::from(u32::try_from(i * i).unwrap() % 11) } else { 0.0 };
            (110.0 * f64::from(*x) + off, 80.0 * f64::from(*y) - off / 3.0)
        };
        let places: Vec<_> = places.iter().enumerate().map(spread).take(count).collect();
        let tilted: Vec<_> =
            heights.iter().zip(&places).map(|(z, (x, _))| z + f64::from(tilt) * 1e-4 * x).collect();
        let points: Vec<_> = places
            .iter()
            .zip(&tilted)
            .map(|((x, y), z)| flatness::Point { x: mm(*x), y: mm(*y), z: mm(*z) })
            .collect();
        // Some draws lie in one line: refused, as they must be.
        if let Ok(form) = flatness(&points) {
            let rows: Vec<_> = points.iter().map(|p| vec![1, steps(p.x), steps(p.y)]).collect();
            let heights: Vec<_> = points.iter().map(|p| steps(p.z)).collect();
            agrees(&form, zone(&rows, &heights) / 1e5, |index, plane| {
                let [x, y, z] = [points[index].x, points[index].y, points[index].z].map(Exact::to_mm);
                z - plane.along * x - plane.across * y - plane.height
            })?;
            let mut turned = points;
            turned.reverse();
            prop_assert!((flatness(&turned).unwrap().minimum.width() - form.minimum.width()).abs() < 1e-12);
        }
    }

    #[test]
    fn straightness_agrees_with_every_three_stations(
        heights in heights(),
        gaps in prop::collection::vec(1_u32..4_000, 16),
        count in 3_usize..=16,
    ) {
        let places = gaps.iter().scan(0.0, |at, gap| {
            *at += f64::from(*gap) * 0.1;
            Some(*at)
        });
        let stations: Vec<_> = places
            .zip(&heights)
            .take(count)
            .map(|(at, height)| Station { at: mm(at), height: mm(*height) })
            .collect();
        let rows: Vec<_> = stations.iter().map(|s| vec![1, steps(s.at)]).collect();
        let heights: Vec<_> = stations.iter().map(|s| steps(s.height)).collect();
        let off = |index: usize, line: &Line| {
            let Station { at, height } = stations[index];
            height.to_mm() - line.slope * at.to_mm() - line.intercept
        };
        let found = straightness(&stations).unwrap();
        agrees(&found.form, zone(&rows, &heights) / 1e5, off)?;
        for (index, deviation) in found.ends.deviations.iter().enumerate() {
            prop_assert!((off(index, &found.ends.shape) - deviation).abs() < 1e-12);
        }
    }

    /// Angles at any five degrees (nearer together the groups of four here lose their digits); and against true rings, whose centres are tried one by one.
    #[test]
    fn roundness_agrees_with_every_four_points_and_with_true_rings(
        heights in heights(),
        angles in prop::collection::btree_set(0_u32..72, 5..9),
    ) {
        let points: Vec<_> = angles
            .iter()
            .zip(&heights)
            .map(|(fives, height)| roundness::Point {
                angle: Length::parse(&(5 * fives).to_string(), Unit::Degree).unwrap().exact(),
                height: mm(*height),
            })
            .collect();
        let turn: Vec<_> = points.iter().map(|p| p.angle.to_mm().to_radians().sin_cos()).collect();
        let rows: Vec<_> = turn.iter().map(|(sine, cosine)| vec![1.0, *cosine, *sine]).collect();
        let heights: Vec<_> = points.iter().map(|p| p.height.to_mm()).collect();
        if let Ok(form) = roundness(&points) {
            agrees(&form, zone(&rows, &heights), |index, circle| {
                let (sine, cosine) = turn[index];
                heights[index] - circle.radius - circle.right * cosine - circle.up * sine
            })?;
            const RADIUS: f64 = 400.0;
            let (ring, eccentricity) = narrowest_ring(&turn, &heights, RADIUS);
            // Angles all on one side let the centre run far off; what the cosine leaves out grows with its square.
            let far = eccentricity.max(form.minimum.shape.eccentricity());
            if far < 20.0 {
                let off = limacon_error(far, RADIUS - 1.0);
                prop_assert!((ring - form.minimum.width()).abs() <= off + 1e-10, "{ring}, {:?}", form.minimum);
            }
        }
    }
}

/// The narrowest ring of concentric circles about all points, and how far its centre lies off: the centre is as far
/// from two points without as from each other, and so of two within, or three are on one circle.
fn narrowest_ring(turn: &[(f64, f64)], heights: &[f64], radius: f64) -> (f64, f64) {
    let points: Vec<_> = turn
        .iter()
        .zip(heights)
        .map(|((sine, cosine), height)| ((radius + height) * cosine, (radius + height) * sine))
        .collect();
    let pairs = groups(points.len(), 2);
    // Where a centre is as far from both: x dx + y dy = half of the difference of the squares.
    let bisector = |pair: &Vec<usize>| {
        let ((ax, ay), (bx, by)) = (points[pair[0]], points[pair[1]]);
        (bx - ax, by - ay, 0.5 * (bx * bx + by * by - ax * ax - ay * ay))
    };
    let mut best = (f64::MAX, 0.0);
    for group in groups(pairs.len(), 2) {
        let ((a, b, c), (d, e, f)) = (bisector(&pairs[group[0]]), bisector(&pairs[group[1]]));
        let area = a * e - b * d;
        if area.abs() < 1e-9 {
            continue;
        }
        let (x, y) = ((c * e - b * f) / area, (a * f - c * d) / area);
        let distances = points.iter().map(|(px, py)| (px - x).hypot(py - y));
        let (low, high) = distances.fold((f64::MAX, 0.0_f64), |(low, high), d| (low.min(d), high.max(d)));
        if high - low < best.0 {
            best = (high - low, x.hypot(y));
        }
    }
    best
}

/// What an indicator over a vee swings while a part of radius 0.1 with lobes of `height` turns once: its centre is
/// where both flats touch its support, found for each turn.
pub(super) fn swing_in_a_vee(angle: f64, lobes: u32, height: f64) -> f64 {
    let support = |at: f64| 0.1 + height * (f64::from(lobes) * at).cos();
    // Directions from the centre, measured from straight up, in which the two flats lie.
    let flat = (90.0 + angle / 2.0).to_radians();
    let top = |turn: f64| {
        let (right, left) = (support(flat + turn), support(-flat + turn));
        // Flats through the origin with these outward normals: centre . normal + support = 0 for both.
        let up = -(right + left) / (2.0 * flat.cos());
        up + support(turn)
    };
    let tops = (0..7_200).map(|step| top(f64::from(step).to_radians() / 20.0));
    let (low, high) = tops.fold((f64::MAX, f64::MIN), |(low, high), top| (low.min(top), high.max(top)));
    high - low
}
