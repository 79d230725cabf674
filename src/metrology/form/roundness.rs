//! Roundness of a turn from heights (or radii) at angles.
//!
//! Both circles are the small-deviation ones, whose distance from the centre of turning changes with the cosine of the
//! angle ("limacons"): `radius + right cos t + up sin t`. For equal angles the mean one is the formula of ISO 4291
//! (1985, annex F, recalled). What that leaves out is [`limacon_error`], for a part that is centred to 0.01 mm at a
//! radius of 25 mm two millionths of a millimetre.

use crate::metrology::form::{self, Form, FormFault};
use crate::metrology::length::Exact;

/// A height at an angle of one turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Point {
    /// Degrees from where the turn starts.
    pub angle: Exact,
    /// Height (or radius) there.
    pub height: Exact,
}

/// A circle in heights over a turn, in the zero of the heights given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its centre from the centre of turning, towards 0 degrees, millimetres.
    pub right: f64,
    /// The same towards 90 degrees.
    pub up: f64,
    /// Its height (or radius), millimetres.
    pub radius: f64,
}

impl Circle {
    /// How far its centre lies from the centre of turning, millimetres.
    #[must_use]
    pub fn eccentricity(&self) -> f64 {
        self.right.hypot(self.up)
    }
}

/// The circles of least squares and of the minimum zone (two concentric circles that hold every point).
///
/// # Errors
/// [`FormFault`] of fewer than four or too many points, or of points at fewer than three angles or within a few degrees.
pub fn roundness(points: &[Point]) -> Result<Form<Circle>, FormFault> {
    form::counted(points.len(), 4)?;
    let heights: Vec<_> = points.iter().map(|point| point.height).collect();
    let row = |point: &Point| {
        let (up, right) = point.angle.to_mm().to_radians().sin_cos();
        [1.0, right, up]
    };
    let rows: Vec<_> = points.iter().map(row).collect();
    let first = heights.first().map_or(0.0, |first| first.to_mm());
    form::fit(&rows, &heights, |[radius, right, up]| Circle { right, up, radius: first + radius })
}

/// The most by which a roundness here can differ from that of true circles, millimetres: the square of the
/// eccentricity over twice the least radius of the part. A point at radius r is `(e^2 - (e cos)^2) / 2r` farther from
/// a centre moved by e than the cosine says, and never nearer.
#[must_use]
pub fn limacon_error(eccentricity: f64, radius: f64) -> f64 {
    eccentricity * eccentricity / (2.0 * (radius - eccentricity))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::{Length, Unit};

    fn turn(heights: &[(&str, &str)]) -> Vec<Point> {
        let value = |digits: &str, unit| Length::parse(digits, unit).expect("digits").exact();
        let point = |(angle, height): &(&str, &str)| Point {
            angle: value(angle, Unit::Degree),
            height: value(height, Unit::Millimetre),
        };
        heights.iter().map(point).collect()
    }

    #[test]
    fn says_what_is_missing() {
        let three = turn(&[("0", "0"), ("90", "0"), ("180", "0")]);
        assert_eq!(roundness(&three), Err(FormFault::TooFew { are: 3, needed: 4 }));
        let two_angles = turn(&[("0", "0"), ("90", "0"), ("0", "1"), ("90", "1")]);
        assert_eq!(roundness(&two_angles), Err(FormFault::NoShape));
    }

    /// Out of centre is not out of round: 0.5 mm to the right, seen over a turn.
    #[test]
    fn a_circle_off_centre_is_round() {
        let off = turn(&[("0", "0.5"), ("60", "0.25"), ("120", "-0.25"), ("180", "-0.5"), ("240", "-0.25")]);
        let form = roundness(&off).expect("a turn");
        assert!(form.least_squares.width() < 1e-14 && form.minimum.width() < 1e-14, "{form:?}");
        assert!((form.minimum.shape.eccentricity() - 0.5).abs() < 1e-14);
    }
}
