//! Flatness, straightness, roundness, and what two points and a vee see. Everything here is COMPUTED apart from this
//! project: least squares with numpy, minimum zones twice, with scipy's linear programme and by enumerating contacts.

#[path = "geometry/slowly.rs"]
mod slowly;

use crate::near;
use benchdrop::metrology::form::flatness::{self, flatness};
use benchdrop::metrology::form::roundness::{self, roundness};
use benchdrop::metrology::form::straightness::{Line, Station, straightness};
use benchdrop::metrology::form::{Form, FormFault, vee};
use benchdrop::metrology::{Exact, Length, Unit};

/// The nearest value on the grid of 0.00001 mm.
fn mm(value: f64) -> Exact {
    Length::parse(&format!("{value:.5}"), Unit::Millimetre).unwrap().exact()
}

fn surface(points: &[[f64; 3]]) -> Vec<flatness::Point> {
    points.iter().map(|[x, y, z]| flatness::Point { x: mm(*x), y: mm(*y), z: mm(*z) }).collect()
}

/// Nine points 100 mm apart.
fn nine(height: impl Fn(f64, f64) -> f64) -> Vec<[f64; 3]> {
    let places = [-100.0, 0.0, 100.0];
    places.iter().flat_map(|x| places.iter().map(|y| [*x, *y, height(*x / 100.0, *y / 100.0)])).collect()
}

fn deck() -> Vec<[f64; 3]> {
    let rows = [
        (0.0, [0.000, 0.012, 0.021, 0.018, 0.009]),
        (80.0, [-0.006, 0.010, 0.028, 0.022, 0.004]),
        (160.0, [-0.011, 0.003, 0.016, 0.013, -0.002]),
    ];
    let xs = [0.0, 110.0, 220.0, 330.0, 440.0];
    rows.iter().flat_map(|(y, zs)| xs.iter().zip(zs).map(|(x, z)| [*x, *y, *z])).collect()
}

/// Holds both widths, and what must hold of any form: the zone is no wider than least squares, and is proven.
#[track_caller]
fn hold<S>(row: &str, form: &Form<S>, least_squares: f64, minimum: f64, tolerance: f64) {
    near(&format!("{row}, least squares"), form.least_squares.width(), least_squares, tolerance);
    near(&format!("{row}, minimum zone"), form.minimum.width(), minimum, tolerance);
    near(&format!("{row}, proof"), form.least, form.minimum.width(), 1e-12);
    assert!(form.minimum.width() <= form.least_squares.width() + 1e-15, "{row}");
}

/// P5.1a to c.
#[test]
fn p5_1_small_grids() {
    let of = |points: Vec<[f64; 3]>| flatness(&surface(&points)).unwrap();
    let sign = |v: f64| if v.abs() < 0.5 { 0.0 } else { v.signum() };
    let saddle = of(nine(|x, y| 0.010 * sign(x) * sign(y)));
    hold("P5.1a saddle", &saddle, 0.020, 0.020, 1e-9);
    let corner = of(nine(|x, y| if x + y > 1.5 { 0.012 } else { 0.0 }));
    hold("P5.1b one high corner", &corner, 0.010, 0.009, 1e-9);
    let plane = corner.least_squares.shape;
    near("P5.1b along", plane.along, 2e-5, 1e-12);
    near("P5.1b across", plane.across, 2e-5, 1e-12);
    near("P5.1b height", plane.height, 0.004 / 3.0, 1e-12);
    let bowl = of(nine(|x, y| 0.004 * (x * x + y * y)));
    hold("P5.1c bowl", &bowl, 0.008, 0.008, 1e-9);
    near("P5.1c height", bowl.least_squares.shape.height, 0.016 / 3.0, 1e-12);
}

/// P5.1d and e: a deck of 15 points, and the same deck tilted.
#[test]
fn p5_1_deck() {
    let form = flatness(&surface(&deck())).unwrap();
    hold("P5.1d deck", &form, 0.031_500, 0.029_250, 1e-9);
    near("P5.1d highest", form.least_squares.highest(), 0.113_2 / 6.0, 1e-6);
    near("P5.1d lowest", form.least_squares.lowest(), -0.075_8 / 6.0, 1e-6);
    let (mean, middle) = (form.least_squares.shape, form.minimum.shape);
    near("P5.1d along", mean.along, 2.545_454_5e-5, 1e-12);
    near("P5.1d across", mean.across, -5.125e-5, 1e-12);
    near("P5.1d height", mean.height, 0.022_9 / 3.0, 1e-9);
    near("P5.1d minimum zone, along", middle.along, 2.159_090_9e-5, 1e-12);
    near("P5.1d minimum zone, across", middle.across, -6.875e-5, 1e-12);
    near("P5.1d minimum zone, height", middle.height, 0.014_125, 1e-9);
    let tilted: Vec<_> =
        deck().iter().map(|[x, y, z]| [*x, *y, z + (0.000_5 * x - 0.000_3 * y + 0.1)]).collect();
    let tilted = flatness(&surface(&tilted)).unwrap();
    hold("P5.1e tilted deck", &tilted, 0.031_500, 0.029_250, 1e-8);
    near("P5.1e along", tilted.least_squares.shape.along, 5.254_545e-4, 1e-9);
    near("P5.1e across", tilted.least_squares.shape.across, -3.512_5e-4, 1e-9);
    near("P5.1e height", tilted.least_squares.shape.height, 0.107_633_333, 1e-8);
}

fn line(points: &[(f64, f64)]) -> Vec<Station> {
    points.iter().map(|(at, height)| Station { at: mm(*at), height: mm(*height) }).collect()
}

/// P5.2a to c.
#[test]
fn p5_2_lines_of_bores() {
    let bores = [0.0, 100.0, 200.0, 300.0, 400.0];
    let along = |heights: [f64; 5]| bores.into_iter().zip(heights).collect::<Vec<_>>();
    let rows = [
        ("P5.2a", vec![(0.0, 0.0), (1.0, 3.0), (2.0, 1.0), (3.0, 2.0)], [0.4, 0.9], [2.6, 8.0 / 3.0, 2.5]),
        ("P5.2b", along([0.0, 0.006, 0.013, 0.008, -0.002]), [-2e-6, 0.0054], [0.0146, 0.014, 0.014]),
        ("P5.2c", along([0.004, 0.001, -0.003, 0.002, 0.006]), [5e-6, 0.001], [0.008, 0.008, 0.008]),
    ];
    for (row, points, [slope, intercept], [least_squares, ends, minimum]) in rows {
        let found = straightness(&line(&points)).unwrap();
        hold(row, &found.form, least_squares, minimum, 1e-10);
        near(&format!("{row}, ends"), found.ends.width(), ends, 1e-10);
        let Line { slope: got, intercept: at_zero } = found.form.least_squares.shape;
        near(&format!("{row}, slope"), got, slope, 1e-12);
        near(&format!("{row}, intercept"), at_zero, intercept, 1e-12);
    }
    let vertical = straightness(&line(&along([0.0, 0.006, 0.013, 0.008, -0.002]))).unwrap();
    let residuals = [-0.0054, 0.0008, 0.0080, 0.0032, -0.0066];
    for (got, expected) in vertical.form.least_squares.deviations.iter().zip(residuals) {
        near("P5.2b residual", *got, expected, 1e-12);
    }
}

/// A profile of `n` equal angles; its heights are in micrometres and taken as millimetres.
fn profile(heights: &[f64]) -> Vec<roundness::Point> {
    let degree = |index: usize| {
        let angle = f64::from(u32::try_from(index).unwrap()) * 360.0
            / f64::from(u32::try_from(heights.len()).unwrap());
        Length::parse(&format!("{angle:.6}"), Unit::Degree).unwrap().exact()
    };
    // A finer grid than readings have, so that the answers can be held to their nine digits.
    let fine = |height: f64| mm(height * 8_000.0).part(1, 8_000);
    let points = heights.iter().enumerate();
    points.map(|(index, height)| roundness::Point { angle: degree(index), height: fine(*height) }).collect()
}

/// The range of the diameters of an even number of equal angles.
fn diameters(heights: &[f64]) -> f64 {
    let (one, other) = heights.split_at(heights.len() / 2);
    let sums = || one.iter().zip(other).map(|(a, b)| a + b);
    sums().fold(f64::MIN, f64::max) - sums().fold(f64::MAX, f64::min)
}

/// P5.3a: eight points, closed form.
#[test]
fn p5_3_eight_points() {
    let heights = [0.0, 2.0, 5.0, 3.0, -1.0, -4.0, -3.0, 1.0];
    let form = roundness(&profile(&heights)).unwrap();
    let root = 2_f64.sqrt();
    hold("P5.3a", &form, 1.0 + 2.0 * root, 9.0 - 4.0 * root, 1e-9);
    let circle = form.least_squares.shape;
    near("P5.3a right", circle.right, 0.957_106_781, 1e-9);
    near("P5.3a up", circle.up, 3.414_213_562, 1e-9);
    near("P5.3a radius", circle.radius, 0.375, 1e-12);
    near("P5.3a diameters", diameters(&heights), 6.0, 0.0);
}

/// P5.3b to d: lobes at 360 angles. What two points see of them is what the factor says.
#[test]
fn p5_3_lobes_and_two_points() {
    let turn =
        |of: &dyn Fn(f64) -> f64| (0..360).map(|t| of(f64::from(t).to_radians())).collect::<Vec<f64>>();
    let rows = [
        ("P5.3b", turn(&|t| 5.0 * (2.0 * t).cos()), 2, [10.0, 20.0, 0.0]),
        ("P5.3c", turn(&|t| 5.0 * (3.0 * t).cos()), 3, [10.0, 0.0, 0.0]),
        ("P5.3d", turn(&|t| 8.0 * t.cos() + 3.0 * (2.0 * t).cos()), 2, [6.0, 12.0, 8.0]),
    ];
    for (row, heights, lobes, [round, two_points, right]) in rows {
        let form = roundness(&profile(&heights)).unwrap();
        hold(row, &form, round, round, 1e-9);
        near(&format!("{row}, right"), form.least_squares.shape.right, right, 1e-9);
        near(&format!("{row}, up"), form.least_squares.shape.up, 0.0, 1e-9);
        near(&format!("{row}, diameters"), diameters(&heights), two_points, 1e-9);
        near(&format!("{row}, factor"), vee::two_points(lobes) * round, two_points, 1e-9);
    }
}

/// P5.3, factors of vee blocks: COMPUTED from geometry, and the table of ISO 4292:1985 as RECALLED.
#[test]
fn p5_3_vee_blocks() {
    let rows = [(60.0, [0.0, 3.0, 0.0, 0.0, 3.0, 0.0]), (90.0, [1.0, 2.0, 0.41, 2.0, 1.0, 0.0])];
    for (angle, factors) in rows {
        for (lobes, expected) in (2..).zip(factors) {
            near(&format!("P5.3 vee {angle}, {lobes} lobes"), vee::factor(angle, lobes), expected, 0.005);
        }
    }
    for lobes in 2..12 {
        let expected = if lobes % 2 == 0 { 2.0 } else { 0.0 };
        near(&format!("P5.3 two points, {lobes} lobes"), vee::two_points(lobes), expected, 1e-12);
    }
}

/// Turning a lobed part in a vee step by step, finding where it lies by its support: the factor in the flesh. To first
/// order in the lobes, which are a thousandth of the radius here.
#[test]
fn p5_3_a_part_turned_in_a_vee() {
    for (angle, lobes) in
        [(60.0, 3), (60.0, 5), (90.0, 2), (90.0, 3), (90.0, 4), (90.0, 5), (72.0, 5), (108.0, 7)]
    {
        let swing = slowly::swing_in_a_vee(angle, lobes, 1e-4);
        near(&format!("vee {angle}, {lobes} lobes"), swing / 2e-4, vee::factor(angle, lobes), 0.005);
    }
}

#[test]
fn too_few_points_are_refused_in_words() {
    let fault = flatness(&surface(&deck()[..3])).unwrap_err();
    assert_eq!(fault, FormFault::TooFew { are: 3, needed: 4 });
    assert_eq!(fault.to_string(), "3 points show no deviation of form; measure at 4 or more");
}
