//! Flatness of a surface from a grid of heights; the grid need not be regular.

use crate::metrology::form::{self, Form, FormFault};
use crate::metrology::length::Exact;
use std::collections::BTreeSet;

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

/// A patch of a surface and how flat it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Where it begins along.
    pub along: Exact,
    /// Where it begins across.
    pub across: Exact,
    /// Width of its minimum zone, millimetres.
    pub width: f64,
}

/// The least flat patch no longer than `length` either way: what a sheet limits "in any 150 mm". `None` where no patch so
/// short holds four points that fix a plane. No line of a straightedge so long along or across it is less straight.
///
/// # Errors
/// As [`flatness`].
pub fn least_flat(points: &[Point], length: Exact) -> Result<Option<Patch>, FormFault> {
    let whole = flatness(points)?;
    let off = &whole.minimum.deviations;
    // No patch is less flat than its points lie off the plane of the whole, so most need no fit.
    let mut patches: Vec<_> = corners(points)
        .into_iter()
        .map(|(along, across)| {
            let within = |point: &Point| holds(along, point.x, length) && holds(across, point.y, length);
            let inside: Vec<usize> = points
                .iter()
                .enumerate()
                .filter(|(_, point)| within(point))
                .map(|(index, _)| index)
                .collect();
            let heights = || inside.iter().filter_map(|index| off.get(*index).copied());
            let most = heights().fold(f64::NEG_INFINITY, f64::max) - heights().fold(f64::INFINITY, f64::min);
            (most, along, across, inside)
        })
        .filter(|(_, _, _, inside)| inside.len() > 3)
        .collect();
    patches.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut worst: Option<Patch> = None;
    for (most, along, across, inside) in patches {
        if worst.is_some_and(|worst| most <= worst.width) {
            break;
        }
        let inside: Vec<Point> = inside.iter().filter_map(|index| points.get(*index).copied()).collect();
        let Ok(form) = flatness(&inside) else { continue };
        let width = form.minimum.width();
        if worst.is_none_or(|worst| width > worst.width) {
            worst = Some(Patch { along, across, width });
        }
    }
    Ok(worst)
}

/// Is it no more than `length` past `from`, and not before it?
fn holds(from: Exact, at: Exact, length: Exact) -> bool {
    from <= at && at - from <= length
}

/// Where a patch can begin: at the place along of one point and the place across of another.
fn corners(points: &[Point]) -> Vec<(Exact, Exact)> {
    let alongs: BTreeSet<Exact> = points.iter().map(|point| point.x).collect();
    let acrosses: BTreeSet<Exact> = points.iter().map(|point| point.y).collect();
    alongs.iter().flat_map(|along| acrosses.iter().map(|across| (*along, *across))).collect()
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
