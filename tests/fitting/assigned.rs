//! The assignment by itself: what it does at its ends, and every permutation. Published cases are in `checks/assignment.rs`.

use crate::chance::Chance;
use benchdrop::planning::assign;

fn sum(costs: &[Vec<Option<i128>>], chosen: &[Option<usize>]) -> (usize, i128) {
    let pairs = chosen.iter().enumerate().filter_map(|(row, column)| costs[row][(*column)?]);
    pairs.fold((0, 0), |(count, sum), cost| (count + 1, sum + cost))
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
