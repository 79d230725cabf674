//! Flatness of a surface from a grid of heights; the grid need not be regular.

use crate::metrology::form::{self, Form, FormFault};
use crate::metrology::length::Exact;

/// A height at a place of the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Point {
    /// Along.
    pub x: Exact,
    /// Across.
    pub y: Exact,
    /// Height there.
    pub z: Exact,
}

/// The plane `z = along x + across y + height`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Slope along, mm per mm.
    pub along: f64,
    /// Slope across, mm per mm.
    pub across: f64,
    /// Height at x = y = 0, millimetres.
    pub height: f64,
}

/// The planes of least squares and of the minimum zone.
///
/// # Errors
/// [`FormFault`] of fewer than four or too many points, or of points all in one line.
pub fn flatness(points: &[Point]) -> Result<Form<Plane>, FormFault> {
    form::counted(points.len(), 4)?;
    let each = |of: fn(&Point) -> Exact| points.iter().map(of).collect::<Vec<_>>();
    let (xs, ys, heights) = (each(|point| point.x), each(|point| point.y), each(|point| point.z));
    let (along, x, half_x) = form::scaled(&xs).ok_or(FormFault::NoShape)?;
    let (across, y, half_y) = form::scaled(&ys).ok_or(FormFault::NoShape)?;
    let rows: Vec<_> = along.iter().zip(&across).map(|(along, across)| [1.0, *along, *across]).collect();
    let first = heights.first().map_or(0.0, |first| first.to_mm());
    form::fit(&rows, &heights, |[middle, along, across]| {
        let (along, across) = (along / half_x, across / half_y);
        Plane { along, across, height: first + middle - along * x - across * y }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_what_is_missing() {
        let at = |x: i32, y: i32| Point { x: one() * x, y: one() * y, z: Exact::ZERO };
        assert_eq!(flatness(&[at(0, 0), at(1, 0), at(0, 1)]), Err(FormFault::TooFew { are: 3, needed: 4 }));
        let line: Vec<_> = (0..5).map(|i| at(i, 2 * i)).collect();
        assert_eq!(flatness(&line), Err(FormFault::NoShape));
        assert_eq!(flatness(&[at(1, 1); 5]), Err(FormFault::NoShape));
        let many = vec![at(0, 0); form::MOST_POINTS + 1];
        assert_eq!(flatness(&many), Err(FormFault::TooMany { are: 10_001 }));
        assert_eq!(flatness(&[]), Err(FormFault::TooFew { are: 0, needed: 4 }));
    }

    fn one() -> Exact {
        crate::metrology::Length::parse("1", crate::metrology::Unit::Millimetre).expect("digits").exact()
    }
}
