//! Small systems of linear equations: at most four unknowns.

/// The unknowns of as many equations, each a row of its coefficients and its right side; `None` where they do not fix
/// them. Elimination with the largest pivot of the column; one below `smallest` counts as none.
pub(super) fn solve(mut rows: Vec<Vec<f64>>, smallest: f64) -> Option<Vec<f64>> {
    for column in 0..rows.len() {
        let size = |row: &Vec<f64>| row.get(column).map_or(0.0, |cell| cell.abs());
        let largest =
            rows.iter().enumerate().skip(column).max_by(|(_, a), (_, b)| size(a).total_cmp(&size(b)))?;
        let at = largest.0;
        rows.swap(column, at);
        let leading = rows.get(column)?.clone();
        let pivot = *leading.get(column)?;
        if pivot.abs() < smallest {
            return None;
        }
        for (_, row) in rows.iter_mut().enumerate().filter(|(index, _)| *index != column) {
            let share = row.get(column)? / pivot;
            for (cell, lead) in row.iter_mut().zip(&leading) {
                *cell -= share * lead;
            }
        }
    }
    rows.iter().enumerate().map(|(index, row)| Some(row.last()? / row.get(index)?)).collect()
}

/// The sum of products of two lists.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_and_refuses() {
        // x + 2 y = 5, 3 x - y = 1: x = 1, y = 2.
        let found = solve(vec![vec![1.0, 2.0, 5.0], vec![3.0, -1.0, 1.0]], 1e-12).expect("one answer");
        assert!((found[0] - 1.0).abs() < 1e-15 && (found[1] - 2.0).abs() < 1e-15, "{found:?}");
        assert_eq!(solve(vec![vec![1.0, 2.0, 5.0], vec![2.0, 4.0, 1.0]], 1e-12), None);
    }
}
