//! Quantiles, probabilities and risks against scipy.

use crate::ask;
use crate::chance::Chance;
use benchdrop::metrology::normal::{density, phi};
use benchdrop::metrology::quantiles::{fisher_beyond, normal, student};
use benchdrop::metrology::rectangles;
use benchdrop::metrology::risk::{Limits, Process, risk};
use serde_json::json;

/// Between 0 and 1, neither.
fn share(chance: &mut Chance) -> f64 {
    chance.between(1, 1_000_000) as f64 / 1e6
}

/// From a hundredth to a million, evenly over the powers of ten.
fn wide(chance: &mut Chance, powers: f64) -> f64 {
    10_f64.powf(share(chance) * powers)
}

#[test]
#[ignore = "needs Python with scipy"]
fn normal_and_student_agree_with_scipy() {
    let mut chance = Chance(1_107);
    let cases: Vec<[f64; 2]> =
        (0..4_000).map(|_| [share(&mut chance), 0.5 * wide(&mut chance, 6.3)]).collect();
    let answers = ask(
        "import numpy as np\nfrom scipy.stats import norm, t\np, v = np.array(cases).T\n\
         answers = np.column_stack([norm.ppf(p), t.ppf(0.5 + p / 2, v), norm.cdf(10 * p - 9)]).tolist()",
        &json!(cases),
    );
    for ([p, freedom], theirs) in cases.into_iter().zip(answers.as_array().unwrap()) {
        let [z, t, below] = [0, 1, 2].map(|index| theirs[index].as_f64().unwrap());
        assert!((normal(p) - z).abs() < 1e-12 * (1.0 + z.abs()), "{p}: {} and {z}", normal(p));
        let ours = student(p, freedom);
        assert!((ours / t - 1.0).abs() < 1e-9, "{p}, {freedom} degrees of freedom: {ours} and {t}");
        assert!((phi(10.0 * p - 9.0) - below).abs() < 1e-15, "{p}");
    }
}

#[test]
#[ignore = "needs Python with scipy"]
fn fisher_agrees_with_scipy() {
    let mut chance = Chance(1_108);
    let draw = |chance: &mut Chance| [wide(chance, 3.0) / 30.0, wide(chance, 3.0), wide(chance, 3.0)];
    let cases: Vec<[f64; 3]> = (0..4_000).map(|_| draw(&mut chance)).collect();
    let answers = ask(
        "import numpy as np\nfrom scipy.stats import f\nx, a, b = np.array(cases).T\nanswers = f.sf(x, a, b).tolist()",
        &json!(cases),
    );
    for ([f, a, b], theirs) in cases.into_iter().zip(answers.as_array().unwrap()) {
        let (ours, theirs) = (fisher_beyond(f, a, b), theirs.as_f64().unwrap());
        assert!((ours - theirs).abs() < 1e-11, "{f}, {a} and {b} degrees of freedom: {ours} and {theirs}");
    }
}

/// The distribution function of each sum, rectangle by rectangle: the mean of the one before over a moving window, on
/// a fine grid.
const WINDOWS: &str = "
import numpy as np
answers = []
for halves, reach in cases:
    end = sum(halves) * 1.01
    x = np.linspace(-end, end, 40001)
    below = np.clip((x + halves[0]) / (2 * halves[0]), 0, 1)
    for half in halves[1:]:
        area = np.concatenate([[0], np.cumsum((below[1:] + below[:-1]) / 2) * (x[1] - x[0])])
        at = lambda v: np.interp(v, x, area) + np.maximum(v - end, 0)
        below = (at(x + half) - at(x - half)) / (2 * half)
    answers.append(float(np.interp(reach, x, below) - np.interp(-reach, x, below)))
";

#[test]
#[ignore = "needs Python with numpy"]
fn sums_of_rectangles_agree_with_moving_windows() {
    let mut chance = Chance(1_109);
    let mut cases = Vec::new();
    for _ in 0..300 {
        let count = chance.between(1, rectangles::MOST as u64 + 1);
        let halves: Vec<f64> = (0..count).map(|_| 0.05 + 0.95 * share(&mut chance)).collect();
        let reach = halves.iter().sum::<f64>() * share(&mut chance);
        cases.push((halves, reach));
    }
    let answers = ask(WINDOWS, &json!(cases));
    for ((halves, reach), theirs) in cases.iter().zip(answers.as_array().unwrap()) {
        let (ours, theirs) = (rectangles::within(halves, *reach).unwrap(), theirs.as_f64().unwrap());
        assert!((ours - theirs).abs() < 1e-7, "{halves:?} within {reach}: {ours} and {theirs}");
        let p = ours.clamp(0.001, 0.999);
        let back = rectangles::within(halves, rectangles::expanded(halves, p).unwrap()).unwrap();
        assert!((back - p).abs() < 1e-8, "{halves:?}: {p} and back {back}");
    }
}

const RISKS: &str = "
from scipy.stats import norm, multivariate_normal as mvn
import numpy as np
# What is true and what is read are two normal values together: both risks are areas of their plane.
answers = []
for low, high, guard, u in cases:
    s = np.hypot(1, u)
    both = lambda x, y: mvn.cdf([x, y / s], cov=[[1, 1 / s], [1 / s, 1]], abseps=1e-12, releps=1e-12)
    a, b = low + guard, high - guard
    good_taken = both(high, b) - both(low, b) - both(high, a) + both(low, a)
    taken = norm.cdf(b / s) - norm.cdf(a / s)
    good = norm.cdf(high) - norm.cdf(low)
    answers.append([1 - good, taken - good_taken, good - good_taken])
";

#[test]
#[ignore = "needs Python with scipy"]
fn risks_agree_with_the_normal_plane() {
    let mut chance = Chance(1_110);
    let draw = |chance: &mut Chance| {
        let (low, width) = (-3.0 * share(chance), 0.5 + 3.0 * share(chance));
        let u = 0.02 + 0.7 * share(chance);
        [low, low + width, 0.5 * u.min(width / 3.0) * share(chance), u]
    };
    let cases: Vec<[f64; 4]> = (0..1_000).map(|_| draw(&mut chance)).collect();
    let answers = ask(RISKS, &json!(cases));
    let process = Process { density: &density, reach: Limits { low: -9.0, high: 9.0 } };
    for ([low, high, guard, u], theirs) in cases.into_iter().zip(answers.as_array().unwrap()) {
        let accepted = Limits { low: low + guard, high: high - guard };
        let ours = risk(&process, Limits { low, high }, accepted, u);
        let ours = [ours.beyond, ours.wrongly_taken, ours.wrongly_refused];
        for (index, ours) in ours.into_iter().enumerate() {
            let theirs = theirs[index].as_f64().unwrap();
            assert!((ours - theirs).abs() < 1e-7, "{low} {high} {guard} {u}: {index}, {ours} and {theirs}");
        }
    }
}
