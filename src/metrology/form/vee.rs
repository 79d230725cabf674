//! What a vee block and an indicator see of a lobed shape, and what two points do not.
//!
//! A part turned in a vee of this angle with the indicator opposite, on the bisector, and lobes `r = R + A cos n t`:
//! where a flat touches, `90 + angle / 2` degrees from the indicator, the height of the surface lifts the centre by its
//! share over `sin(angle / 2)`. The swing is then F times the radial out-of-round 2 A, with
//! `F = |1 + cos(n (90 + angle / 2)) / sin(angle / 2)|` (worked out here; the table of ISO 4292:1985, recalled, is its
//! rounding). An anvil opposite the indicator, as in a micrometer, is a vee of 180 degrees.

/// The angle of a flat anvil.
const FLAT: f64 = 180.0;

/// F for a vee of `angle` degrees, over 0 and up to 180, and a part of `lobes` lobes. Zero means that this vee does not
/// see such a part at all; a swing over F is the radial out-of-round.
#[must_use]
pub fn factor(angle: f64, lobes: u32) -> f64 {
    let flat = (90.0 + angle / 2.0) * f64::from(lobes);
    (1.0 + flat.to_radians().cos() / (angle / 2.0).to_radians().sin()).abs()
}

/// F of two opposite points: 2 for an even number of lobes, 0 for an odd one, which no micrometer sees.
#[must_use]
pub fn two_points(lobes: u32) -> f64 {
    factor(FLAT, lobes)
}
