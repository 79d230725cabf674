//! Studies against statsmodels, spreads against exact fractions.

use crate::ask;
use crate::chance::Chance;
use benchdrop::metrology::statistics::{Spread, from_first, mean};
use benchdrop::metrology::study::{FTest, Reading, Table, anova};
use benchdrop::metrology::{Exact, Length, Unit};
use serde_json::{Value, json};

fn mm(digits: &str) -> Exact {
    Length::parse(digits, Unit::Millimetre).unwrap().exact()
}

/// Part, person, trial and digits of each reading: parts that differ, people who do or do not, noise.
fn study(chance: &mut Chance) -> Vec<(String, String, u32, String)> {
    let [parts, people, trials] = [chance.between(2, 12), chance.between(1, 5), chance.between(2, 5)];
    let person_step = chance.between(0, 3) * 40;
    let interaction = chance.between(0, 2) * 120;
    let mut readings = Vec::new();
    for part in 0..parts {
        let size = 5_700_000 + chance.between(0, 2_000);
        for person in 0..people {
            let by_both = chance.between(0, interaction + 1);
            for trial in 0..trials {
                let value = size + person * person_step + by_both + chance.between(0, 100);
                let digits = format!("{}.{:05}", value / 100_000, value % 100_000);
                readings.push((
                    format!("p{part}"),
                    format!("w{person}"),
                    u32::try_from(trial).unwrap(),
                    digits,
                ));
            }
        }
    }
    chance.shuffle(&mut readings);
    readings
}

const STATSMODELS: &str = "
import numpy as np
import pandas as pd
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm
answers = []
def variances(f, rows, test):
    # Mean squares are expected to be sums of the variances; solved for these as a system of equations. What is below
    # zero is left out, and the system is another: not asked here.
    if test is None: return None
    n, k, r = f.p.nunique(), f.w.nunique(), len(f) // f.p.nunique() // f.w.nunique()
    if test[1] > 0.25:
        rows = [rows[0], rows[1], [rows[2][0] + rows[3][0], rows[2][1] + rows[3][1]]]
        expected = np.array([[k * r, 0, 1], [0, n * r, 1], [0, 0, 1]])
    else:
        expected = np.array([[k * r, 0, r, 1], [0, n * r, r, 1], [0, 0, r, 1], [0, 0, 0, 1]])
    squares, freedom = np.array([[s / d, d] for s, d in rows]).T
    found = np.linalg.solve(expected, squares)
    if found.min() < 0: return None
    # The gauge's is all but that of the parts; its shares of the mean squares, and Satterthwaite's formula.
    shares = np.linalg.solve(expected.T, [0] + [1] * (len(found) - 1))
    gauge = shares @ squares
    return [*found.tolist(), gauge ** 2 / sum((shares * squares) ** 2 / freedom)]
for readings in cases:
    # In hundredths of a millimetre about 57 mm, where doubles have digits to spare.
    f = pd.DataFrame([(p, w, (int(v.replace('.', '')) - 5700000) / 1000) for p, w, _, v in readings], columns=['p', 'w', 'y'])
    model = 'y ~ C(p)' if f.w.nunique() == 1 else 'y ~ C(p) * C(w)'
    table = anova_lm(ols(model, f).fit())
    row = lambda name: [float(table.sum_sq[name]), float(table.df[name])] if name in table.index else [0, 0]
    both = 'C(p):C(w)'
    test = [float(table.F[both]), float(table['PR(>F)'][both])] if both in table.index else None
    rows = [row('C(p)'), row('C(w)'), row(both), row('Residual')]
    answers.append([*rows, test, variances(f, rows, test)])
";

#[test]
#[ignore = "needs Python with statsmodels"]
fn studies_agree_with_statsmodels() {
    let mut chance = Chance(1_105);
    let studies: Vec<_> = (0..400).map(|_| study(&mut chance)).collect();
    let answers = ask(STATSMODELS, &json!(studies));
    let (mut pooled, mut solved) = (0, 0);
    for (study, theirs) in studies.iter().zip(answers.as_array().unwrap()) {
        let readings = study.iter().map(|(part, person, trial, digits)| Reading {
            part,
            person,
            trial: *trial,
            value: mm(digits),
        });
        let ours = anova(&Table::of(&readings.collect::<Vec<_>>()).unwrap());
        let number = |value: &Value| value.as_f64().unwrap();
        let rows = [ours.parts, ours.people, ours.person_by_part, ours.repeat];
        for (index, row) in rows.iter().enumerate() {
            // Hundredths squared are 10^-4 mm2.
            let (squares, freedom) = (number(&theirs[index][0]) * 1e-4, number(&theirs[index][1]));
            assert!(
                (row.squares - squares).abs() < 1e-9 * ours.total.squares,
                "{index} {study:?}: {squares}"
            );
            assert!((row.freedom - freedom).abs() < 1e-9, "{index} {study:?}: {freedom}");
        }
        assert_eq!(ours.interaction_test.is_some(), !theirs[4].is_null());
        if let Some(FTest { f, p }) = ours.interaction_test {
            assert!((f / number(&theirs[4][0]) - 1.0).abs() < 1e-7, "{study:?}: F {f}");
            assert!((p - number(&theirs[4][1])).abs() < 1e-8, "{study:?}: p {p}");
            assert_eq!(ours.is_pooled, number(&theirs[4][1]) > 0.25, "{study:?}");
            pooled += u32::from(ours.is_pooled);
        }
        if let Some(theirs) = theirs[5].as_array() {
            let s = ours.spreads;
            // Parts, people, their interaction where it stands, repeat: hundredths squared; then degrees of freedom.
            let spreads = [s.parts, s.people, s.person_by_part, Some(s.repeat)];
            let variances = spreads.into_iter().flatten().map(|spread| spread * spread * 1e4);
            let found: Vec<f64> = variances.chain([ours.gauge_freedom]).collect();
            assert_eq!(found.len(), theirs.len(), "{study:?}");
            for (found, theirs) in found.iter().zip(theirs) {
                let theirs = number(theirs);
                assert!((found - theirs).abs() < 1e-7 * (1.0 + theirs), "{study:?}: {found} and {theirs}");
            }
            solved += 1;
        }
    }
    assert!((50..300).contains(&pooled), "{pooled} pooled: both sides of the rule want cases");
    assert!(solved > 100, "only {solved} studies had all variances above zero");
}

#[test]
#[ignore = "needs Python"]
fn spreads_agree_with_fractions() {
    let mut chance = Chance(1_106);
    let mut lists: Vec<Vec<String>> = Vec::new();
    for _ in 0..2_000 {
        let (base, range) =
            (chance.between(0, 9_000_000), 10_u64.pow(u32::try_from(chance.between(1, 6)).unwrap()));
        let value = |chance: &mut Chance| base + chance.between(0, range);
        let values = (0..chance.between(2, 40)).map(|_| value(&mut chance)).collect::<Vec<_>>();
        lists.push(values.iter().map(|v| format!("{}.{:05}", v / 100_000, v % 100_000)).collect());
    }
    let answers = ask(
        "from fractions import Fraction as F\nimport statistics\n\
         answers = [[float(statistics.mean(map(F, v))), statistics.stdev(map(F, v))] for v in cases]",
        &json!(lists),
    );
    for (list, theirs) in lists.iter().zip(answers.as_array().unwrap()) {
        let [their_mean, deviation] = [0, 1].map(|index| theirs[index].as_f64().unwrap());
        let plain: Vec<f64> = list.iter().map(|digits| digits.parse().unwrap()).collect();
        assert!((mean(&plain).unwrap() - their_mean).abs() <= 4e-16 * their_mean, "{list:?}");
        let exact: Vec<Exact> = list.iter().map(|digits| mm(digits)).collect();
        let ours = Spread::of(&from_first(&exact)).deviation().unwrap();
        assert!((ours - deviation).abs() <= 1e-13 * deviation, "{list:?}: {ours} and {deviation}");
    }
}
