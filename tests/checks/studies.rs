//! Studies of a gauge: the published set of ten parts, three people and three trials, and the factors.

use crate::near;
use benchdrop::metrology::normal::{density, phi};
use benchdrop::metrology::study::{
    Anova, Ranges, Reading, StudyFault, Table, anova, average_factor, range_factor, ranges,
};
use benchdrop::metrology::{Length, Unit};

/// Part by part: three trials of A, of B, of C. AIAG, Measurement Systems Analysis, 4th edition (2010); READ in two
/// independent public projects that embed the data.
const SET: [[&str; 9]; 10] = [
    ["0.29", "0.41", "0.64", "0.08", "0.25", "0.07", "0.04", "-0.11", "-0.15"],
    ["-0.56", "-0.68", "-0.58", "-0.47", "-1.22", "-0.68", "-1.38", "-1.13", "-0.96"],
    ["1.34", "1.17", "1.27", "1.19", "0.94", "1.34", "0.88", "1.09", "0.67"],
    ["0.47", "0.50", "0.64", "0.01", "1.03", "0.20", "0.14", "0.20", "0.11"],
    ["-0.80", "-0.92", "-0.84", "-0.56", "-1.20", "-1.28", "-1.46", "-1.07", "-1.45"],
    ["0.02", "-0.11", "-0.21", "-0.20", "0.22", "0.06", "-0.29", "-0.67", "-0.49"],
    ["0.59", "0.75", "0.66", "0.47", "0.55", "0.83", "0.02", "0.01", "0.21"],
    ["-0.31", "-0.20", "-0.17", "-0.63", "0.08", "-0.34", "-0.46", "-0.56", "-0.49"],
    ["2.26", "1.99", "2.01", "1.80", "2.12", "2.19", "1.77", "1.45", "1.87"],
    ["-1.36", "-1.25", "-1.31", "-1.68", "-1.62", "-1.50", "-1.49", "-1.77", "-2.16"],
];

fn table(set: &[[&str; 9]]) -> Table {
    let parts: Vec<String> = (1..=set.len()).map(|part| part.to_string()).collect();
    let mut readings = Vec::new();
    for (part, row) in parts.iter().zip(set) {
        for (index, digits) in (0_u32..).zip(row) {
            let person = ["A", "B", "C"][index as usize / 3];
            let value = Length::parse(digits, Unit::Millimetre).unwrap().exact();
            readings.push(Reading { part, person, trial: index % 3 + 1, value });
        }
    }
    Table::of(&readings).unwrap()
}

fn analysed() -> Anova {
    anova(&table(&SET))
}

fn by_ranges() -> Ranges {
    ranges(&table(&SET)).unwrap()
}

/// The set is copied right: 90 values, grand mean and total squares.
#[test]
fn p3_1_checksum() {
    let values: Vec<f64> = SET.iter().flatten().map(|digits| digits.parse().unwrap()).collect();
    near("n", f64::from(u32::try_from(values.len()).unwrap()), 90.0, 0.0);
    near("mean", values.iter().sum::<f64>() / 90.0, 0.001_444_444, 1e-9);
    near("total squares", analysed().total.squares, 94.647_112, 1e-6);
}

/// P3.1a to e: the table of the analysis. READ; COMPUTED with statsmodels.
#[test]
fn p3_1_analysis_of_variance() {
    let a = analysed();
    let rows = [a.parts, a.people, a.person_by_part, a.repeat, a.total];
    let squares = [88.3619, 3.1673, 0.3590, 2.7589, 94.6471];
    let freedoms = [9.0, 2.0, 18.0, 60.0, 89.0];
    let mean_squares = [9.817_99, 1.583_63, 0.019_94, 0.045_98];
    for ((row, squares), freedom) in rows.iter().zip(squares).zip(freedoms) {
        near("P3.1a squares", row.squares, squares, 1e-4);
        near("P3.1b degrees of freedom", row.freedom, freedom, 0.0);
    }
    for (row, expected) in rows.iter().zip(mean_squares) {
        near("P3.1c mean square", row.deviation().unwrap().powi(2), expected, 1e-5);
    }
    let interaction = a.interaction_test.unwrap();
    near("P3.1d F", interaction.f, 0.434, 1e-3);
    near("P3.1d p", interaction.p, 0.974, 1e-3);
    near("P3.1e F of parts", a.parts_test.unwrap().f, 492.291, 1e-3);
    near("P3.1e F of people", a.people_test.unwrap().f, 79.406, 1e-3);
}

/// P3.1f to l: pooled, and what it comes to. READ; COMPUTED with statsmodels.
#[test]
fn p3_1_spreads() {
    let a = analysed();
    assert!(a.is_pooled);
    near("P3.1f squares", a.pooled_repeat.squares, 3.1179, 1e-4);
    near("P3.1f degrees of freedom", a.pooled_repeat.freedom, 78.0, 0.0);
    let s = a.spreads;
    assert_eq!(s.person_by_part, None);
    let (people, parts) = (s.people.unwrap(), s.parts.unwrap());
    let spreads = [s.repeat, people, s.gauge(), parts, s.total()];
    let variances = [0.039_97, 0.051_46, 0.091_43, 1.086_45];
    let deviations = [0.199_933, 0.226_838, 0.302_372, 1.042_327, 1.085_300];
    let of_variance = [3.39, 4.37, 7.76, 92.24];
    let of_spread = [18.42, 20.90, 27.86, 96.04];
    for (spread, expected) in spreads.iter().zip(variances) {
        near("P3.1g variance", spread * spread, expected, 1e-4);
    }
    for (spread, expected) in spreads.iter().zip(deviations) {
        near("P3.1h standard deviation", *spread, expected, 2e-6);
    }
    for ((spread, variance), share) in spreads.iter().zip(of_variance).zip(of_spread) {
        near("P3.1i percent of variance", 100.0 * (spread / s.total()).powi(2), variance, 0.01);
        near("P3.1j percent of spread", 100.0 * spread / s.total(), share, 0.01);
    }
    near("P3.1k sizes told apart", s.distinct_sizes().unwrap(), 4.0, 0.0);
    // By hand from P3.1c and f: 1.58363 / 30 with 2 and 0.03997 x 29 / 30 with 78 degrees of freedom.
    near("degrees of freedom of the gauge", a.gauge_freedom, 5.918, 0.005);
    near("P3.1l repeat alone", a.repeat.deviation().unwrap(), 0.214_435, 2e-6);
}

/// Ranges, then averages: the manual's printed figures are RECALLED and rounded on the way, the exact ones COMPUTED
/// from the data. P3.1m to r.
#[test]
fn p3_1_average_and_range() {
    let r = by_ranges();
    near("P3.1m mean range", r.mean_range, 0.341_666_667, 1e-9);
    for (got, printed) in r.of_people.iter().zip([0.184, 0.513, 0.328]) {
        near("P3.1m of a person", *got, printed, 1e-3);
    }
    near("P3.1n people differ", r.people_differ, 0.444_666_667, 1e-9);
    near("P3.1o parts differ", r.parts_differ, 3.511_111_111, 1e-9);
    near("P3.1p repeat", r.spreads.repeat, 0.201_856_667, 1e-8);
    near("P3.1p repeat, printed", r.spreads.repeat, 0.201_88, 1e-4);
    near("P3.1q people", r.spreads.people.unwrap(), 0.229_667_029, 1e-8);
    near("P3.1q people, printed", r.spreads.people.unwrap(), 0.229_63, 1e-4);
    near("P3.1r gauge", r.spreads.gauge(), 0.305_766_346, 1e-8);
    near("P3.1r gauge, printed", r.spreads.gauge(), 0.305_75, 1e-4);
}

/// P3.1s to v, as above.
#[test]
fn p3_1_average_and_range_totals() {
    let s = by_ranges().spreads;
    near("P3.1s parts", s.parts.unwrap(), 1.104_595_556, 1e-8);
    near("P3.1s parts, printed", s.parts.unwrap(), 1.104_56, 1e-4);
    near("P3.1t total", s.total(), 1.146_134_547, 1e-8);
    near("P3.1t total, printed", s.total(), 1.146_10, 1e-4);
    let shares = [s.repeat, s.people.unwrap(), s.gauge(), s.parts.unwrap()];
    for (spread, percent) in shares.iter().zip([17.612, 20.038, 26.678, 96.376]) {
        near("P3.1u percent", 100.0 * spread / s.total(), percent, 1e-3);
    }
    near("P3.1v sizes told apart", s.distinct_sizes().unwrap(), 5.0, 0.0);
    near("P3.1v before it is cut", 1.41 * s.parts.unwrap() / s.gauge(), 5.093_7, 1e-4);
}

/// The mean and mean square of the range of `m` standard normal values, from its distribution: P(range > w) is one
/// less m times the integral of density(x) (Phi(x + w) - Phi(x))^(m - 1).
fn moments(m: i32) -> (f64, f64) {
    const STEPS: usize = 1_600;
    let h = 0.01;
    let at = |i: usize| -8.0 + f64::from(u32::try_from(i).unwrap()) * h;
    let phis: Vec<f64> = (0..2 * STEPS).map(|i| phi(at(i))).collect();
    let densities: Vec<f64> = (0..STEPS).map(|i| density(at(i))).collect();
    let beyond = |w: usize| {
        let both = densities.iter().zip(&phis).zip(&phis[w..]);
        1.0 - f64::from(m)
            * h
            * both.map(|((density, low), high)| density * (high - low).powi(m - 1)).sum::<f64>()
    };
    // The trapezoid rule; at w = 0 the range is certainly larger, and only half of that step counts.
    let steps = (1..STEPS).map(|w| (at(w) + 8.0, beyond(w)));
    steps.fold((0.5 * h, 0.0), |(mean, square), (w, p)| (mean + p * h, square + 2.0 * w * p * h))
}

/// P3.2: COMPUTED by integrating the range distribution, with scipy and here; the tables that are READ agree.
#[test]
#[expect(clippy::approx_constant, reason = "a printed table has five decimals")]
fn p3_2_factors() {
    let d2 = [1.128_38, 1.692_57, 2.058_75, 2.325_93, 2.534_41, 2.704_36, 2.847_20, 2.970_03, 3.077_51];
    for ((size, m), expected) in (2..).zip(2..).zip(d2) {
        let (mean, square) = moments(m);
        near(&format!("P3.2 d2 of {m}"), mean, expected, 5e-5);
        near(&format!("P3.2 of many, {m}"), average_factor(size).unwrap(), 1.0 / expected, 5.1e-5);
        near(&format!("P3.2 of one, {m}"), range_factor(size).unwrap(), 1.0 / square.sqrt(), 5.1e-5);
    }
    for (size, printed) in [(2, 0.8862), (3, 0.5908)] {
        near("P3.2 of many", average_factor(size).unwrap(), printed, 0.0);
    }
    for (size, printed) in [(2, 0.7071), (3, 0.5231), (4, 0.4467), (5, 0.4030), (10, 0.3146)] {
        near("P3.2 of one", range_factor(size).unwrap(), printed, 0.0);
    }
    assert_eq!((average_factor(1), range_factor(11)), (None, None));
}

/// What one person cannot say is not zero; and each person's bias adds up to nothing.
#[test]
fn one_person_says_nothing_of_people() {
    let mut readings = Vec::new();
    for (part, row) in ["1", "2"].iter().zip(&SET) {
        for (trial, digits) in (1..).zip(&row[..3]) {
            let value = Length::parse(digits, Unit::Millimetre).unwrap().exact();
            readings.push(Reading { part, person: "A", trial, value });
        }
    }
    let alone = Table::of(&readings).unwrap();
    let (a, r) = (anova(&alone), ranges(&alone).unwrap());
    assert_eq!((a.spreads.people, r.spreads.people), (None, None));
    // By hand: 0.29 0.41 0.64 and -0.56 -0.68 -0.58 leave squares 0.0634 and 0.0084 with two degrees of freedom each.
    near("squares", a.repeat.squares, 0.063_266_667 + 0.008_266_667, 1e-8);
    near("repeat", a.spreads.repeat, (0.071_533_333_f64 / 4.0).sqrt(), 1e-8);
    near("degrees of freedom", a.gauge_freedom, 4.0, 1e-12);
    near("range", r.mean_range, (0.35 + 0.12) / 2.0, 1e-12);
    assert!(analysed().bias.iter().map(|bias| bias.by).sum::<f64>().abs() < 1e-12);
    let persons: Vec<_> = analysed().bias.into_iter().map(|bias| bias.person).collect();
    assert_eq!(persons, ["A", "B", "C"]);
}

/// More parts than there is a factor for: refused, with what to do.
#[test]
fn average_and_range_has_its_bounds() {
    let eleven = [SET.as_slice(), &SET[..1]].concat();
    let fault = ranges(&table(&eleven)).unwrap_err();
    assert_eq!(fault, StudyFault::NoFactor { of: "parts", are: 11, most: 10 });
    assert_eq!(
        fault.to_string(),
        "average and range needs 2 to 10 parts, and there are 11; use the analysis of variance"
    );
}
