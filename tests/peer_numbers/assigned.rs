//! Who goes where for the least cost, against SciPy's linear sum assignment.

use crate::ask;
use crate::chance::Chance;
use benchdrop::planning::assign;
use serde_json::json;

/// Tables of every shape up to twelve by twelve, some with pairs that must not meet.
#[test]
#[ignore = "needs Python with SciPy"]
fn assignments_agree_with_scipy() {
    let mut chance = Chance(0x10);
    let mut cases: Vec<Vec<Vec<Option<i128>>>> = Vec::new();
    for _ in 0..4_000 {
        let (rows, columns) = (chance.between(1, 13), chance.between(1, 13));
        let (most, holes) =
            ([5, 100, 1_000_000][usize::try_from(chance.between(0, 3)).unwrap()], chance.between(0, 30));
        let mut cost = || {
            let hole = chance.between(0, 100) < holes;
            let cost = i128::from(chance.between(0, most));
            (!hole).then_some(cost)
        };
        cases.push((0..rows).map(|_| (0..columns).map(|_| cost()).collect()).collect());
    }
    // What must not meet has no price here: null where nobody can be given a partner.
    let answers = ask(
        "import numpy\n\
         from scipy.optimize import linear_sum_assignment\n\
         answers = []\n\
         for case in cases:\n    \
             table = numpy.array([[numpy.inf if x is None else x for x in row] for row in case], dtype=float)\n    \
             try:\n        \
                 rows, columns = linear_sum_assignment(table)\n        \
                 answers.append(int(table[rows, columns].sum()))\n    \
             except ValueError:\n        \
                 answers.append(None)",
        &json!(cases),
    );
    let (mut agreed, mut infeasible) = (0, 0);
    for (case, theirs) in cases.iter().zip(answers.as_array().unwrap()) {
        let chosen = assign(case);
        let pairs: Vec<i128> =
            chosen.iter().enumerate().filter_map(|(row, column)| case[row][(*column)?]).collect();
        let full = pairs.len() == case.len().min(case[0].len());
        let Some(sum) = theirs.as_i64() else {
            assert!(!full && theirs.is_null(), "{case:?} {theirs}");
            infeasible += 1;
            continue;
        };
        assert!(full, "{case:?}");
        assert_eq!(pairs.iter().sum::<i128>(), i128::from(sum), "{case:?}");
        agreed += 1;
    }
    assert!(agreed > 2_000 && infeasible > 10, "{agreed} {infeasible}");
}
