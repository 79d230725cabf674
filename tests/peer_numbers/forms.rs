//! Least squares against numpy, minimum zones against a linear programme of scipy, and both against exact fractions.

use crate::ask;
use crate::chance::Chance;
use benchdrop::metrology::form::flatness::{self, flatness};
use benchdrop::metrology::form::roundness::{self, roundness};
use benchdrop::metrology::form::straightness::{Station, straightness};
use benchdrop::metrology::form::{ERROR_SHARE, Form, FormFault};
use benchdrop::metrology::{Exact, Length, Unit};
use serde_json::{Value, json};

/// Digits of so many hundred-thousandths.
fn digits(steps: i64) -> String {
    let sign = if steps < 0 { "-" } else { "" };
    format!("{sign}{}.{:05}", steps.abs() / 100_000, steps.abs() % 100_000)
}

fn value(digits: &str, unit: Unit) -> Exact {
    Length::parse(digits, unit).unwrap().exact()
}

fn mm(digits: &str) -> Exact {
    value(digits, Unit::Millimetre)
}

/// What a case measured: digits of place, place across (empty for a line or a turn), height.
type Points = Vec<[String; 3]>;

/// Widths by least squares and minimum zone, the proof, and the range of the heights.
struct Widths {
    least_squares: f64,
    minimum: f64,
    least: f64,
}

fn widths<S>(form: &Form<S>) -> Widths {
    let (least_squares, minimum) = (form.least_squares.width(), form.minimum.width());
    Widths { least_squares, minimum, least: form.least }
}

/// `None` of points that fix no shape: five in a row, two angles.
fn ours(kind: &str, points: &Points) -> Option<Widths> {
    let found = match kind {
        "plane" => {
            let point = |[x, y, z]: &[String; 3]| flatness::Point { x: mm(x), y: mm(y), z: mm(z) };
            flatness(&points.iter().map(point).collect::<Vec<_>>()).map(|form| widths(&form))
        }
        "line" => {
            let station = |[at, _, height]: &[String; 3]| Station { at: mm(at), height: mm(height) };
            straightness(&points.iter().map(station).collect::<Vec<_>>()).map(|found| widths(&found.form))
        }
        _ => {
            let point = |[angle, _, height]: &[String; 3]| roundness::Point {
                angle: value(angle, Unit::Degree),
                height: mm(height),
            };
            roundness(&points.iter().map(point).collect::<Vec<_>>()).map(|form| widths(&form))
        }
    };
    found.inspect_err(|fault| assert_eq!(*fault, FormFault::NoShape, "{points:?}")).ok()
}

/// A measured surface, line or turn: wear and noise, or heights off a coarse gauge that are often alike; level or not.
fn points(chance: &mut Chance, kind: &str, most: u64) -> Points {
    let count = chance.between(5, most);
    let coarse = [1, 100, 1_000][usize::try_from(chance.between(0, 3)).unwrap()];
    let tilt = [0, 0, 7, 40][usize::try_from(chance.between(0, 4)).unwrap()];
    let is_regular = chance.between(0, 2) == 0;
    // A slanting strip hardly fixes a plane.
    let wide = [20_000_000, 5_000][usize::try_from(chance.between(0, 2)).unwrap()];
    let mut at = 0_i64;
    let mut whole = |low: u64, high: u64| i64::try_from(chance.between(low, high)).unwrap();
    (0..i64::try_from(count).unwrap())
        .map(|index| {
            let height = whole(0, 6_000) / coarse * coarse;
            let [x, y] = match (kind, is_regular) {
                ("plane", true) => [index % 5 * 11_000_000, index / 5 * 8_000_000],
                ("plane", false) => {
                    let x = whole(0, 50_000_000);
                    [x, whole(0, wide) + x / 3]
                }
                ("line", _) => {
                    at += if is_regular { 10_000_000 } else { whole(100_000, 9_000_000) };
                    [at, 0]
                }
                // Degrees; the regular ones are a whole turn of twelve or more.
                (_, true) => [index * 3_000_000 % 36_000_000, 0],
                (_, false) => [whole(0, 36_000_000), 0],
            };
            let tilted = if kind == "turn" { height } else { height + tilt * (x / 100_000) };
            [digits(x), digits(y), digits(tilted - 3_000)]
        })
        .collect()
}

fn cases(seed: u64, each: usize, kinds: &[&'static str], most: u64) -> Vec<(&'static str, Points)> {
    let mut chance = Chance(seed);
    let mut cases = Vec::new();
    for kind in kinds {
        let drawn = std::iter::repeat_with(|| points(&mut chance, kind, most));
        cases.extend(
            drawn.filter(|points| ours(kind, points).is_some()).take(each).map(|points| (*kind, points)),
        );
    }
    cases
}

/// The programme `min t, |z - row c| <= t`, with places brought to about 1 and heights to about 1000, where the solver
/// keeps ten digits.
const LINEAR_PROGRAMME: &str = "
import numpy as np
from scipy.optimize import linprog
answers = []
for kind, points in cases:
    x, y, z = np.array([[float(v) for v in p] for p in points]).T
    if kind == 'turn':
        rows = np.column_stack([np.ones_like(x), np.cos(np.radians(x)), np.sin(np.radians(x))])
    else:
        bring = lambda v: (v - v.mean()) / max(np.ptp(v), 1e-9)
        rows = np.column_stack([np.ones_like(x), bring(x)] + ([bring(y)] if kind == 'plane' else []))
    rest = z - rows @ np.linalg.lstsq(rows, z, rcond=None)[0]
    scale = 1000 / max(np.ptp(rest), 1e-7)
    heights, ones = rest * scale, np.ones((len(z), 1))
    found = linprog([0] * rows.shape[1] + [1],
        A_ub=np.block([[rows, -ones], [-rows, -ones]]), b_ub=np.concatenate([heights, -heights]),
        bounds=[(None, None)] * (rows.shape[1] + 1), method='highs',
        options={'primal_feasibility_tolerance': 1e-10, 'dual_feasibility_tolerance': 1e-10})
    assert found.status == 0, found.message
    answers.append([float(np.ptp(rest)), 2 * found.fun / scale])
";

#[test]
#[ignore = "needs Python with scipy and numpy"]
fn forms_agree_with_a_linear_programme() {
    let cases = cases(1_101, 1_000, &["plane", "line", "turn"], 60);
    let answers = ask(LINEAR_PROGRAMME, &json!(cases));
    for ((kind, points), theirs) in cases.iter().zip(answers.as_array().unwrap()) {
        let ours = ours(kind, points).unwrap();
        let [least_squares, minimum] = [0, 1].map(|index| theirs[index].as_f64().unwrap());
        assert!((ours.least_squares - least_squares).abs() < 1e-12, "{kind} {points:?}: {least_squares}");
        assert!((ours.minimum - minimum).abs() < 1e-10, "{kind} {points:?}: {minimum}, {}", ours.minimum);
        assert!((ours.minimum - ours.least).abs() < 1e-13, "{kind} {points:?}: proven {}", ours.least);
    }
}

/// In fractions, without any rounding: the widest zone that any few of the points need, and the normal equations. The
/// answers are the differences from our doubles, rounded once.
const FRACTIONS: &str = "
from fractions import Fraction as F
from itertools import combinations
def solve(rows):
    rows = [list(r) for r in rows]
    for i in range(len(rows)):
        p = next((k for k in range(i, len(rows)) if rows[k][i] != 0), None)
        if p is None: return None
        rows[i], rows[p] = rows[p], rows[i]
        for k in range(len(rows)):
            if k != i and rows[k][i] != 0:
                f = rows[k][i] / rows[i][i]
                rows[k] = [a - f * b for a, b in zip(rows[k], rows[i])]
    return [r[-1] / r[i] for i, r in enumerate(rows)]
def det(m):
    if not m: return F(1)
    return sum((-1) ** i * m[0][i] * det([r[:i] + r[i + 1:] for r in m[1:]]) for i in range(len(m)) if m[0][i] != 0)
answers = []
for kind, points, ours in cases:
    points = [[F(v) for v in p] for p in points]
    rows = [[F(1), p[0], p[1]] if kind == 'plane' else [F(1), p[0]] for p in points]
    z, d = [p[2] for p in points], len(rows[0])
    zone = F(0)
    for few in combinations(range(len(z)), d + 1):
        w = [(-1) ** k * det([rows[i] for i in few if i != s]) for k, s in enumerate(few)]
        if any(w):
            zone = max(zone, 2 * abs(sum(a * z[i] for a, i in zip(w, few))) / sum(map(abs, w)))
    c = solve([[sum(r[i] * r[j] for r in rows) for j in range(d)] + [sum(r[i] * h for r, h in zip(rows, z))]
        for i in range(d)])
    rest = [h - sum(a * b for a, b in zip(r, c)) for r, h in zip(rows, z)]
    off = max(abs(F(ours[0]) - (max(rest) - min(rest))), abs(F(ours[1]) - zone), abs(F(ours[2]) - zone))
    answers.append([float(off), float(max(z) - min(z))])
";

/// The error bound that the documentation states, with steep tilts in.
#[test]
#[ignore = "needs Python"]
fn forms_keep_their_error_bound() {
    let cases = cases(1_102, 250, &["plane", "line"], 10);
    let found: Vec<_> = cases.iter().map(|(kind, points)| ours(kind, points).unwrap()).collect();
    let asked: Vec<Value> = cases
        .iter()
        .zip(&found)
        .map(|((kind, points), f)| json!([kind, points, [f.least_squares, f.minimum, f.least]]))
        .collect();
    let answers = ask(FRACTIONS, &json!(asked));
    for ((kind, points), answer) in cases.iter().zip(answers.as_array().unwrap()) {
        let [off, range] = [0, 1].map(|index| answer[index].as_f64().unwrap());
        assert!(off <= ERROR_SHARE * range, "{kind} {points:?}: off by {off} of {range}");
    }
}
