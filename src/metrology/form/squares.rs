//! The least-squares fit.

use crate::metrology::form::solve::{dot, solve};
use crate::metrology::statistics::count;

/// The coefficients whose fit leaves the smallest sum of squares: normal equations, solved three times on what the
/// last left over, so that they lose nothing to their condition. `None` where the points fix no shape: a spread in one
/// direction under some 10^-5 of that in the other.
pub(super) fn fit<const D: usize>(rows: &[[f64; D]], heights: &[f64]) -> Option<[f64; D]> {
    const SMALLEST_PIVOT: f64 = 1e-10;
    let mut coefficients = [0.0; D];
    for _ in 0..3 {
        let rest = left(rows, heights, &coefficients);
        let equations = (0..D).map(|index| {
            let weight = |row: &[f64; D]| row.get(index).copied().unwrap_or(0.0);
            let mut equation = vec![0.0; D + 1];
            for (row, rest) in rows.iter().zip(&rest) {
                for (sum, entry) in equation.iter_mut().zip(row.iter().chain([rest])) {
                    *sum += weight(row) * entry;
                }
            }
            equation
        });
        let change = solve(equations.collect(), SMALLEST_PIVOT * count(rows.len()))?;
        coefficients.iter_mut().zip(change).for_each(|(coefficient, change)| *coefficient += change);
    }
    Some(coefficients)
}

/// What a fit leaves of each height.
pub(super) fn left<const D: usize>(rows: &[[f64; D]], heights: &[f64], coefficients: &[f64; D]) -> Vec<f64> {
    rows.iter().zip(heights).map(|(row, height)| height - dot(row, coefficients)).collect()
}
