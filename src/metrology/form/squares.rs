//! The least-squares fit, and the basis in which both fits are sought.

use crate::metrology::form::solve::dot;
use crate::metrology::statistics::count;

/// A column this small a part of itself, once those before it are taken out, says nothing of its own.
const NOTHING_OF_ITS_OWN: f64 = 1e-4;

/// The columns of a shape, made independent of each other: orthogonal, and one in the mean square. What is fitted in
/// them keeps its digits even where the points hardly fix the shape (a thin strip, a short arc).
pub(super) struct Basis<const D: usize> {
    /// One a point.
    pub(super) rows: Vec<[f64; D]>,
    /// One a column: how it is made of those of the shape.
    recipes: Vec<[f64; D]>,
}

impl<const D: usize> Basis<D> {
    /// Gram and Schmidt. `None` where the points fix no shape: one column of it is, to 10^-4, a sum
    /// of the others.
    pub(super) fn of(shape: &[[f64; D]]) -> Option<Self> {
        let number = count(shape.len());
        let mut columns: Vec<(Vec<f64>, [f64; D])> = Vec::with_capacity(D);
        for index in 0..D {
            let mut values = shape.iter().map(|row| row.get(index).copied()).collect::<Option<Vec<f64>>>()?;
            let mut recipe = [0.0; D];
            *recipe.get_mut(index)? = 1.0;
            let before = dot(&values, &values);
            for (earlier, of) in &columns {
                let share = dot(&values, earlier) / number;
                values.iter_mut().zip(earlier).for_each(|(value, earlier)| *value -= share * earlier);
                recipe.iter_mut().zip(of).for_each(|(part, of)| *part -= share * of);
            }
            let after = dot(&values, &values);
            if after <= before * NOTHING_OF_ITS_OWN * NOTHING_OF_ITS_OWN {
                return None;
            }
            let size = (after / number).sqrt();
            values.iter_mut().chain(&mut recipe).for_each(|value| *value /= size);
            columns.push((values, recipe));
        }
        let row = |point: usize| {
            let entries = columns.iter().map(|(values, _)| values.get(point).copied());
            entries.collect::<Option<Vec<f64>>>()?.try_into().ok()
        };
        let rows = (0..shape.len()).map(row).collect::<Option<_>>()?;
        Some(Self { rows, recipes: columns.into_iter().map(|(_, recipe)| recipe).collect() })
    }

    /// The coefficients of the shape from those in this basis.
    pub(super) fn of_shape(&self, coefficients: &[f64; D]) -> [f64; D] {
        let mut shape = [0.0; D];
        for (coefficient, recipe) in coefficients.iter().zip(&self.recipes) {
            shape.iter_mut().zip(recipe).for_each(|(sum, part)| *sum += coefficient * part);
        }
        shape
    }

    /// The coefficients that leave the smallest sum of squares: the mean product with each column.
    pub(super) fn fit(&self, heights: &[f64]) -> [f64; D] {
        let number = count(self.rows.len());
        let mut coefficients = [0.0; D];
        for (row, height) in self.rows.iter().zip(heights) {
            coefficients.iter_mut().zip(row).for_each(|(sum, entry)| *sum += entry * height / number);
        }
        coefficients
    }
}

/// What a fit leaves of each height.
pub(super) fn left<const D: usize>(rows: &[[f64; D]], heights: &[f64], coefficients: &[f64; D]) -> Vec<f64> {
    rows.iter().zip(heights).map(|(row, height)| height - dot(row, coefficients)).collect()
}
