//! Who goes where for the least cost: the assignment that Kuhn and Munkres solve, with what must not meet kept apart.
//!
//! The crate's own function asserts that there are no more rows than columns, knows no forbidden pair, and panics where
//! its sums overflow. Here more rows than columns leave rows without a partner, a forbidden pair costs more than
//! everything allowed together, and weights stay within what a sum of all of them can hold.

use pathfinding::matrix::Matrix;
use pathfinding::prelude::kuhn_munkres_min;

/// The largest cost of a pair that is told from another: sums of a million of them and of their penalties still hold.
const MOST: i128 = 1 << 80;

/// The column of each row, for the most pairs that may meet and, of those, the least sum of costs. `None` in `costs`
/// forbids a pair; a row without a partner is `None` in the answer. Costs beyond 2^80 either way count as that.
///
/// Rows may be shorter than others; what is missing is forbidden.
#[must_use]
pub fn assign(costs: &[Vec<Option<i128>>]) -> Vec<Option<usize>> {
    let rows = costs.len();
    let columns = costs.iter().map(Vec::len).max().unwrap_or(0);
    if rows == 0 || columns == 0 {
        return vec![None; rows];
    }
    let held = |cost: i128| cost.clamp(-MOST, MOST);
    let all = costs.iter().flatten().flatten().map(|cost| held(*cost));
    let (least, most) =
        all.fold((0, 0), |(least, most): (i128, i128), cost| (least.min(cost), most.max(cost)));
    let pairs = i128::try_from(rows.min(columns)).unwrap_or(i128::MAX >> 96);
    // One forbidden pair more outweighs the dearest exchange of all the others.
    let forbidden = (most - least) * (pairs + 1) + 1;
    // Every row gets a column: where there are too few, the ones beyond are nobody's.
    let wide = columns.max(rows);
    let at = |row: usize, column: usize| costs.get(row).and_then(|row| row.get(column)).copied().flatten();
    let weights = Matrix::from_fn(rows, wide, |(row, column)| {
        at(row, column).map_or(forbidden, |cost| held(cost) - least)
    });
    let (_, chosen) = kuhn_munkres_min(&weights);
    let met = |(row, column): (usize, usize)| at(row, column).is_some().then_some(column);
    chosen.into_iter().enumerate().map(met).collect()
}
