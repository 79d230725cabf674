//! Certified statistics: NIST's reference data for one variable, and a pooled repeatability.

use crate::near;
use benchdrop::metrology::statistics::{Spread, from_first, mean};
use benchdrop::metrology::{Length, Unit};

/// NIST StRD, set Mavro.
const MAVRO: &str = "\
2.00180 2.00170 2.00180 2.00190 2.00180 2.00170 2.00150 2.00140 2.00150 2.00150
2.00170 2.00180 2.00180 2.00190 2.00190 2.00210 2.00200 2.00160 2.00140 2.00130
2.00130 2.00150 2.00150 2.00160 2.00150 2.00140 2.00130 2.00140 2.00150 2.00140
2.00150 2.00160 2.00150 2.00160 2.00190 2.00200 2.00200 2.00210 2.00220 2.00230
2.00240 2.00250 2.00270 2.00260 2.00260 2.00260 2.00270 2.00260 2.00250 2.00240
";

/// NIST StRD, set Lew.
const LEW: &str = "\
-213 -564 -35 -15 141 115 -420 -360 203 -338 -431 194 -220 -513 154 -125 -559 92 -21 -579
-52 99 -543 -175 162 -457 -346 204 -300 -474 164 -107 -572 -8 83 -541 -224 180 -420 -374
201 -236 -531 83 27 -564 -112 131 -507 -254 199 -311 -495 143 -46 -579 -90 136 -472 -338
202 -287 -477 169 -124 -568 17 48 -568 -135 162 -430 -422 172 -74 -577 -13 92 -534 -243
194 -355 -465 156 -81 -578 -64 139 -449 -384 193 -198 -538 110 -44 -577 -6 66 -552 -164
161 -460 -344 205 -281 -504 134 -28 -576 -118 156 -437 -381 200 -220 -540 83 11 -568 -160
172 -414 -408 188 -125 -572 -32 139 -492 -321 205 -262 -504 142 -83 -574 0 48 -571 -106
137 -501 -266 190 -391 -406 194 -186 -553 83 -13 -577 -49 103 -515 -280 201 300 -506 131
-45 -578 -80 138 -462 -361 201 -211 -554 32 74 -533 -235 187 -372 -442 182 -147 -566 25
68 -535 -244 194 -351 -463 174 -125 -570 15 72 -550 -190 172 -424 -385 198 -218 -536 96
";

fn numbers(text: &str) -> Vec<f64> {
    text.split_whitespace().map(|digits| digits.parse().unwrap()).collect()
}

/// One value, then two others five hundred times over: NumAcc2 and NumAcc3.
fn numerical_accuracy(digits: [&str; 3]) -> Vec<f64> {
    let [first, low, high] = digits.map(|digits| digits.parse().unwrap());
    std::iter::once(first).chain([low, high].repeat(500)).collect()
}

/// Autocorrelation at lag one, which shows a set whose order or values were copied wrongly.
fn lag_one(values: &[f64]) -> f64 {
    let mean = mean(values).unwrap();
    let products = values.windows(2).map(|pair| (pair[0] - mean) * (pair[1] - mean));
    products.sum::<f64>() / Spread::of(values).squares
}

struct Certified {
    row: &'static str,
    values: Vec<f64>,
    mean: f64,
    deviation: f64,
    lag_one: f64,
    /// Relative, of the standard deviation.
    tolerance: f64,
}

/// NIST StRD, univariate: data and certified values READ in apache/commons-math, re-computed with mpmath from exact
/// fractions.
fn certified() -> [Certified; 5] {
    let row = |row, values, [mean, deviation, lag_one, tolerance]: [f64; 4]| Certified {
        row,
        values,
        mean,
        deviation,
        lag_one,
        tolerance,
    };
    let few = vec![10_000_001.0, 10_000_003.0, 10_000_002.0];
    [
        row("P4a NumAcc1", few, [10_000_002.0, 1.0, -0.5, 1e-12]),
        row("P4b NumAcc2", numerical_accuracy(["1.2", "1.1", "1.3"]), [1.2, 0.1, -0.999, 1e-12]),
        row(
            "P4c NumAcc3",
            numerical_accuracy(["1000000.2", "1000000.1", "1000000.3"]),
            [1_000_000.2, 0.1, -0.999, 1e-8],
        ),
        row(
            "P4d Mavro",
            numbers(MAVRO),
            [2.001_856, 0.000_429_123_454_003_053, 0.937_989_183_438_248, 1e-10],
        ),
        row("P4e Lew", numbers(LEW), [-177.435, 277.332_168_044_316, -0.307_304_800_605_679, 1e-12]),
    ]
}

#[test]
fn p4_certified_means_and_deviations() {
    for set in certified() {
        let Certified { row, values, mean: expected, deviation, tolerance, .. } = &set;
        near(&format!("{row}, mean"), mean(values).unwrap(), *expected, expected.abs() * 1e-12);
        let got = Spread::of(values).deviation().unwrap();
        near(&format!("{row}, standard deviation"), got, *deviation, deviation * tolerance);
        near(&format!("{row}, lag one"), lag_one(values), set.lag_one, 1e-8);
    }
}

/// The same as readings: differences from the first are taken exactly, and the spread keeps all its digits.
#[test]
fn p4_certified_deviation_of_readings() {
    let readings: Vec<_> = MAVRO
        .split_whitespace()
        .map(|digits| Length::parse(digits, Unit::Millimetre).unwrap().exact())
        .collect();
    let got = Spread::of(&from_first(&readings)).deviation().unwrap();
    near("P4d Mavro, read as digits", got, 0.000_429_123_454_003_053, 5e-18);
}

/// What the textbook's one-pass formula gives for NumAcc3 is wrong in the first digits: the data can tell.
#[test]
fn p4c_the_one_pass_formula_would_fail() {
    let values = numerical_accuracy(["1000000.2", "1000000.1", "1000000.3"]);
    let number = 1001.0;
    let (sum, squares) = values.iter().fold((0.0, 0.0), |(sum, squares), v| (sum + v, squares + v * v));
    let one_pass = ((squares - sum * sum / number) / (number - 1.0)).abs().sqrt();
    assert!((one_pass - 0.1).abs() > 1e-8 * 0.1, "{one_pass}");
}

/// P3.3: NIST/SEMATECH e-Handbook, 2.4.4, READ: five wafers of 60 degrees of freedom each.
#[test]
fn p3_3_pooled_repeatability() {
    let wafers = [0.481_15, 0.692_09, 0.484_83, 1.217_52, 0.300_76];
    let pooled = Spread::pooled(&wafers.map(|squares| Spread { squares, freedom: 60.0 }));
    near("P3.3 squares", pooled.squares, 3.176_35, 1e-9);
    near("P3.3 degrees of freedom", pooled.freedom, 300.0, 0.0);
    near("P3.3 s1", pooled.deviation().unwrap(), 0.102_90, 5e-6);
}
