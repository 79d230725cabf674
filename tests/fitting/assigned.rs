//! The assignment by itself: published cases (checks.md section 10) and every permutation.

use crate::chance::Chance;
use benchdrop::planning::assign;

fn sum(costs: &[Vec<Option<i128>>], chosen: &[Option<usize>]) -> (usize, i128) {
    let pairs = chosen.iter().enumerate().filter_map(|(row, column)| costs[row][(*column)?]);
    pairs.fold((0, 0), |(count, sum), cost| (count + 1, sum + cost))
}

fn whole(rows: &[&[i128]]) -> Vec<Vec<Option<i128>>> {
    rows.iter().map(|row| row.iter().map(|cost| Some(*cost)).collect()).collect()
}

/// P10a to P10g: totals and, where there is one best, the columns.
#[test]
fn published_cases() {
    let a = whole(&[&[400, 150, 400], &[400, 450, 600], &[300, 225, 300]]);
    assert_eq!(assign(&a), [Some(1), Some(0), Some(2)]);
    assert_eq!(sum(&a, &assign(&a)).1, 850);
    let b = whole(&[&[10, 10, 8], &[9, 8, 1], &[9, 7, 4]]);
    assert_eq!((assign(&b), sum(&b, &assign(&b)).1), (vec![Some(0), Some(2), Some(1)], 18));
    let c = whole(&[&[400, 150, 400, 1], &[400, 450, 600, 2], &[300, 225, 300, 3]]);
    assert_eq!(sum(&c, &assign(&c)), (3, 452));
    let d = whole(&[&[4, 1, 3], &[2, 0, 5], &[3, 2, 2]]);
    assert_eq!((assign(&d), sum(&d, &assign(&d)).1), (vec![Some(1), Some(0), Some(2)], 5));
    let e = vec![vec![Some(10), None, None], vec![None, None, Some(1)], vec![None, Some(7), None]];
    assert_eq!((assign(&e), sum(&e, &assign(&e)).1), (vec![Some(0), Some(2), Some(1)], 18));
    let f: [&[i128]; 5] = [
        &[7, 53, 183, 439, 863],
        &[497, 383, 563, 79, 973],
        &[287, 63, 343, 169, 583],
        &[627, 343, 773, 959, 943],
        &[767, 473, 103, 699, 303],
    ];
    let turned: Vec<Vec<Option<i128>>> =
        f.iter().map(|row| row.iter().map(|c| Some(-*c)).collect()).collect();
    assert_eq!(sum(&turned, &assign(&turned)).1, -3315);
    assert_eq!(sum(&whole(&f), &assign(&whole(&f))).1, 1075);
    // A column that nobody may take: one row is left, and said to be.
    let g = vec![vec![Some(1), Some(2), None], vec![Some(3), Some(4), None], vec![Some(5), Some(6), None]];
    let found = assign(&g);
    assert_eq!((found.iter().flatten().count(), sum(&g, &found).1), (2, 5));
}

/// Costs at the ends of what a number holds, more rows than columns, nothing at all.
#[test]
fn limits_are_guarded() {
    assert!(assign(&[]).is_empty());
    assert_eq!(assign(&[vec![], vec![]]), [None, None]);
    assert_eq!(assign(&[vec![Some(5)], vec![Some(3)], vec![None]]), [None, Some(0), None]);
    let huge = vec![vec![Some(i128::MAX), Some(i128::MIN)], vec![Some(i128::MIN), Some(i128::MAX)]];
    assert_eq!(assign(&huge), [Some(1), Some(0)]);
    assert_eq!(assign(&vec![vec![Some(i128::MAX); 40]; 40]).iter().flatten().count(), 40);
    assert_eq!(assign(&[vec![None, Some(7)], vec![Some(1)]]), [Some(1), Some(0)]);
}

/// As many pairs as there can be, then the least sum: every permutation up to seven, with holes.
#[test]
fn no_permutation_is_better() {
    let mut chance = Chance(0xa551);
    for _ in 0..400 {
        let [rows, columns] = [7, 8].map(|most| usize::try_from(chance.between(1, most)).unwrap());
        let holes = chance.between(0, 60);
        let mut cost = || {
            let hole = chance.between(0, 100) < holes;
            let cost = i128::from(chance.between(0, 50)) - 10;
            (!hole).then_some(cost)
        };
        let costs: Vec<Vec<Option<i128>>> =
            (0..rows).map(|_| (0..columns).map(|_| cost()).collect()).collect();
        let found = sum(&costs, &assign(&costs));
        let mut best = (0, 0);
        every(&costs, 0, &mut vec![false; columns], (0, 0), &mut best);
        assert_eq!(found, best, "{costs:?}");
    }
}

/// Goes through every way to give each row a column or none.
fn every(
    costs: &[Vec<Option<i128>>],
    row: usize,
    taken: &mut Vec<bool>,
    at: (usize, i128),
    best: &mut (usize, i128),
) {
    if row == costs.len() {
        if at.0 > best.0 || (at.0 == best.0 && at.1 < best.1) {
            *best = at;
        }
        return;
    }
    every(costs, row + 1, taken, at, best);
    for column in 0..taken.len() {
        if let (Some(cost), false) = (costs[row][column], taken[column]) {
            taken[column] = true;
            every(costs, row + 1, taken, (at.0 + 1, at.1 + cost), best);
            taken[column] = false;
        }
    }
}
