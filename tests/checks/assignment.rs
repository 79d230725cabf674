//! Who goes where for the least sum: published cases of the assignment problem. What no permutation betters, case by
//! case, is in `fitting/assigned.rs`.

use benchdrop::planning::assign;

/// A matrix of costs; `None` is a pair that must not meet (infinite in the source).
type Costs = Vec<Vec<Option<i128>>>;

fn whole(rows: &[&[i128]]) -> Costs {
    rows.iter().map(|row| row.iter().map(|cost| Some(*cost)).collect()).collect()
}

/// How many rows found a column, and the sum of their costs.
fn sum(costs: &Costs, chosen: &[Option<usize>]) -> (usize, i128) {
    let pairs = chosen.iter().enumerate().filter_map(|(row, column)| costs[row][(*column)?]);
    pairs.fold((0, 0), |(count, sum), cost| (count + 1, sum + cost))
}

/// Holds the minimum and, where only one assignment reaches it, that assignment.
#[track_caller]
fn hold(row: &str, costs: &Costs, minimum: i128, only: Option<&[usize]>) {
    let found = assign(costs);
    assert_eq!(sum(costs, &found), (costs.len(), minimum), "{row}");
    if let Some(only) = only {
        let only: Vec<_> = only.iter().map(|column| Some(*column)).collect();
        assert_eq!(found, only, "{row}");
    }
}

/// P10a to P10c, P10e: scipy, tests of sparse/csgraph (`test_matching`) and of `linear_sum_assignment`, READ; COMPUTED with
/// scipy. c has two best assignments, so only its cost is held.
#[test]
fn p10_cases_of_scipy() {
    let a = whole(&[&[400, 150, 400], &[400, 450, 600], &[300, 225, 300]]);
    hold("P10a", &a, 850, Some(&[1, 0, 2]));
    let b = whole(&[&[10, 10, 8], &[9, 8, 1], &[9, 7, 4]]);
    hold("P10b", &b, 18, Some(&[0, 2, 1]));
    let c = whole(&[&[400, 150, 400, 1], &[400, 450, 600, 2], &[300, 225, 300, 3]]);
    hold("P10c", &c, 452, None);
    let e = vec![vec![Some(10), None, None], vec![None, None, Some(1)], vec![None, Some(7), None]];
    hold("P10e", &e, 18, Some(&[0, 2, 1]));
}

/// P10d: the example in scipy's documentation, RECALLED; COMPUTED with scipy.
#[test]
fn p10_example_of_the_documentation() {
    hold("P10d", &whole(&[&[4, 1, 3], &[2, 0, 5], &[3, 2, 2]]), 5, Some(&[1, 0, 2]));
}

/// P10f: antma/algo (rust, tests of its assignment problem), READ; both ends COMPUTED with scipy.
#[test]
fn p10_largest_and_least_of_five() {
    let rows: [&[i128]; 5] = [
        &[7, 53, 183, 439, 863],
        &[497, 383, 563, 79, 973],
        &[287, 63, 343, 169, 583],
        &[627, 343, 773, 959, 943],
        &[767, 473, 103, 699, 303],
    ];
    let f = whole(&rows);
    let turned: Costs = f.iter().map(|row| row.iter().map(|cost| cost.map(|c| -c)).collect()).collect();
    hold("P10f, most", &turned, -3315, None);
    hold("P10f, least", &f, 1075, None);
}

/// P10g: the same tests of scipy, READ: a column that nobody may take must be told. One row is left without a partner, and
/// the others still get the least there is (by hand: 1 + 4 or 2 + 3).
#[test]
fn p10g_what_cannot_be_is_told() {
    let g = vec![vec![Some(1), Some(2), None], vec![Some(3), Some(4), None], vec![Some(5), Some(6), None]];
    let found = assign(&g);
    assert_eq!(found.iter().filter(|column| column.is_none()).count(), 1, "P10g {found:?}");
    assert_eq!(sum(&g, &found), (2, 5), "P10g");
}
