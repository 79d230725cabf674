//! The minimum zone: the best fit by largest deviation (Chebyshev), exactly.
//!
//! Minimise t over the coefficients c and t, such that `|z_i - row_i . c| <= t` for every point: a linear programme
//! of D + 1 unknowns. Its optimum rests on D + 1 points with signs that alternate about the zone (three for a line,
//! four for a plane or turn: the 3-1 and 2-2 contacts of the books). The exchange starts with any such *stand*, whose
//! own best t is less than the whole's, and takes in a point outside the zone for one that must go, so that t only
//! grows (the simplex method on the dual programme). It ends when no point lies outside. The t of the last stand then
//! proves that no zone is narrower, and the fit that none is needed wider: duality, checked by the caller on the
//! numbers themselves.

use crate::metrology::form::solve::{dot, solve};
use crate::metrology::form::squares::left;

/// A pivot or weight under this counts as none; the columns of the rows are one in the mean square.
const NOTHING: f64 = 1e-12;

/// The best fit and its proof.
pub(super) struct Narrowest<const D: usize> {
    pub(super) coefficients: [f64; D],
    /// Half the width that the stand's points alone need.
    pub(super) half: f64,
}

/// A point the zone stands on: which, and on which side (1 above, -1 below).
#[derive(Clone, Copy)]
struct Stand {
    point: usize,
    side: f64,
}

/// The best fit to heights whose mean fit is taken out already; `None` where the points fix no shape. `D + 1` points
/// or more.
pub(super) fn narrowest<const D: usize>(rows: &[[f64; D]], heights: &[f64]) -> Option<Narrowest<D>> {
    let problem = Problem { rows, heights };
    let range = heights.iter().fold(0.0_f64, |most, height| most.max(height.abs()));
    let close = 1e-14 * range;
    let mut stand = problem.start()?;
    let mut best = problem.fit(&stand)?;
    let mut grew = true;
    // Each exchange but the stalled ones makes t grow, so no stand comes twice; stalled ones go by the lowest number
    // (Bland's rule), which cannot go round in circles. The bound only cuts off what rounding might make endless,
    // and then the proof shows the gap.
    for _ in 0..(1_000 + 20 * rows.len()) {
        let Some(entering) = problem.outside(&best, close, grew) else { break };
        let Some(leaving) = problem.leaving(&stand, entering) else { break };
        if let Some(place) = stand.get_mut(leaving) {
            *place = entering;
        }
        let next = problem.fit(&stand)?;
        grew = next.half > best.half + close;
        best = next;
    }
    Some(best)
}

/// Points and heights.
struct Problem<'a, const D: usize> {
    rows: &'a [[f64; D]],
    heights: &'a [f64],
}

impl<const D: usize> Problem<'_, D> {
    fn row(&self, point: usize) -> Option<&[f64; D]> {
        self.rows.get(point)
    }

    /// A first stand: D points as independent as can be (largest row left after those before are taken out), and the
    /// one farthest from the surface through them.
    fn start(&self) -> Option<Vec<Stand>> {
        let mut rest: Vec<[f64; D]> = self.rows.to_vec();
        let mut chosen = Vec::with_capacity(D);
        for _ in 0..D {
            let (point, longest) =
                rest.iter().enumerate().max_by(|(_, a), (_, b)| dot(*a, *a).total_cmp(&dot(*b, *b)))?;
            let (longest, square) = (*longest, dot(longest, longest));
            if square < NOTHING {
                return None;
            }
            chosen.push(point);
            for row in &mut rest {
                let share = dot(row, &longest) / square;
                row.iter_mut().zip(longest).for_each(|(cell, lead)| *cell -= share * lead);
            }
        }
        let through = chosen.iter().map(|point| {
            let row = self.row(*point)?;
            Some(row.iter().copied().chain(self.heights.get(*point).copied()).collect())
        });
        let surface: [f64; D] = solve(through.collect::<Option<_>>()?, NOTHING)?.try_into().ok()?;
        let off = left(self.rows, self.heights, &surface);
        let others = off.iter().enumerate().filter(|(point, _)| !chosen.contains(point));
        let (extra, off) = others.max_by(|(_, a), (_, b)| a.abs().total_cmp(&b.abs()))?;
        let side = if *off < 0.0 { -1.0 } else { 1.0 };
        // The extra row is a sum of the chosen ones; each of these stands on the other side of its share.
        let shares = self.weights(&chosen, self.row(extra)?)?;
        let mut stand: Vec<Stand> = chosen
            .into_iter()
            .zip(shares)
            .map(|(point, share)| Stand { point, side: if share < 0.0 { side } else { -side } })
            .collect();
        stand.push(Stand { point: extra, side });
        Some(stand)
    }

    /// What the rows of these D points are to be multiplied by to give `target`.
    fn weights(&self, points: &[usize], target: &[f64; D]) -> Option<Vec<f64>> {
        let equations = target.iter().enumerate().map(|(entry, right)| {
            let lefts = points.iter().map(|point| self.row(*point)?.get(entry).copied());
            lefts.chain([Some(*right)]).collect::<Option<Vec<f64>>>()
        });
        solve(equations.collect::<Option<_>>()?, NOTHING)
    }

    /// The fit that is off by the same half at all points of the stand, each on its side.
    fn fit(&self, stand: &[Stand]) -> Option<Narrowest<D>> {
        let equations = stand.iter().map(|Stand { point, side }| {
            let row = self.row(*point)?.iter().copied();
            Some(row.chain([*side, *self.heights.get(*point)?]).collect())
        });
        let mut unknowns = solve(equations.collect::<Option<_>>()?, NOTHING)?;
        let half = unknowns.pop()?;
        Some(Narrowest { coefficients: unknowns.try_into().ok()?, half })
    }

    /// A point that lies outside the zone by more than `close`: the farthest, or after a stall the first.
    fn outside(&self, best: &Narrowest<D>, close: f64, farthest: bool) -> Option<Stand> {
        let off = left(self.rows, self.heights, &best.coefficients);
        let beyond = |off: &f64| off.abs() > best.half + close;
        let mut outside = off.iter().enumerate().filter(|(_, off)| beyond(off));
        let found = if farthest {
            outside.max_by(|(_, a), (_, b)| a.abs().total_cmp(&b.abs()))
        } else {
            outside.next()
        };
        found.map(|(point, off)| Stand { point, side: if *off < 0.0 { -1.0 } else { 1.0 } })
    }

    /// Which of the stand gives way to a point outside: the weights of a stand (which add its signed rows to nothing
    /// and themselves to one) must stay positive.
    fn leaving(&self, stand: &[Stand], entering: Stand) -> Option<usize> {
        let signed = |place: &Stand| {
            let row = self.row(place.point)?.iter().map(|entry| entry * place.side);
            Some(row.chain([1.0]).collect::<Vec<f64>>())
        };
        let columns = stand.iter().map(signed).collect::<Option<Vec<_>>>()?;
        let sums_to = |right: Vec<f64>| {
            let equations = right.into_iter().enumerate().map(|(entry, right)| {
                let lefts = columns.iter().map(|column| column.get(entry).copied());
                lefts.chain([Some(right)]).collect::<Option<Vec<f64>>>()
            });
            solve(equations.collect::<Option<_>>()?, NOTHING)
        };
        let mut alone = vec![0.0; D];
        alone.push(1.0);
        let (weights, shares) = (sums_to(alone)?, sums_to(signed(&entering)?)?);
        let ratios = weights.iter().zip(&shares).enumerate();
        let ratios = ratios.filter(|(_, (_, share))| **share > NOTHING);
        let ratios = ratios.map(|(index, (weight, share))| (index, weight.max(0.0) / share));
        let smallest = ratios.min_by(|(i, a), (j, b)| {
            if (a - b).abs() <= NOTHING {
                self.number(stand, *i).cmp(&self.number(stand, *j))
            } else {
                a.total_cmp(b)
            }
        })?;
        Some(smallest.0)
    }

    /// The number of the point at this place of a stand.
    fn number(&self, stand: &[Stand], place: usize) -> usize {
        stand.get(place).map_or(self.rows.len(), |place| place.point)
    }
}
