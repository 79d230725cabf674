//! Bend of a shaft from what an indicator swings over a turn (TIR, total indicator reading).
//!
//! A round journal whose centre runs b off the axis swings 2 b. An oval one swings by up to half of its diametral
//! out-of-round more, depending on where the oval lies (common practice; the tests turn an ellipse).

use crate::metrology::length::Exact;

/// The least and the most that a shaft can be bent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bend {
    /// With all of the ovality in the swing.
    pub least: Exact,
    /// With none of it.
    pub most: Exact,
}

/// The bend that a swing tells, when the journal is `out_of_round` by that much between two diameters (zero for a round
/// one): from half of the swing less half of the out-of-round, never under zero, to half of the swing. Exact.
#[must_use]
pub fn bend(swing: Exact, out_of_round: Exact) -> Bend {
    let least = (swing - out_of_round.part(1, 2)).part(1, 2).max(Exact::ZERO);
    Bend { least, most: swing.part(1, 2) }
}

/// A swing and where its high spot lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HighSpot {
    /// The whole swing.
    pub swing: Exact,
    /// Angle of the high spot, degrees.
    pub angle: Exact,
}

/// How far two journals run apart, as a swing, millimetres: the difference of two arrows of these lengths and
/// directions. On the same side it is the difference of the swings, opposite their sum. To the last few digits.
#[must_use]
pub fn apart(one: HighSpot, other: HighSpot) -> f64 {
    let arrow = |spot: HighSpot| {
        let (up, right) = spot.angle.to_mm().to_radians().sin_cos();
        let swing = spot.swing.to_mm();
        (swing * right, swing * up)
    };
    let ((right, up), (other_right, other_up)) = (arrow(one), arrow(other));
    (right - other_right).hypot(up - other_up)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::{Length, Unit};
    use proptest::prelude::*;

    fn mm(digits: &str) -> Exact {
        Length::parse(digits, Unit::Millimetre).expect("digits").exact()
    }

    #[test]
    fn bend_is_half_of_the_swing_of_a_round_journal() {
        assert_eq!(bend(mm("0.05"), Exact::ZERO), Bend { least: mm("0.025"), most: mm("0.025") });
        assert_eq!(bend(mm("0.05"), mm("0.02")), Bend { least: mm("0.02"), most: mm("0.025") });
        assert_eq!(bend(mm("0.01"), mm("0.03")).least, Exact::ZERO);
    }

    #[test]
    fn same_side_differs_and_opposite_adds() {
        let at = |swing, degrees| HighSpot {
            swing: mm(swing),
            angle: Length::parse(degrees, Unit::Degree).expect("digits").exact(),
        };
        assert!((apart(at("0.03", "40"), at("0.01", "40")) - 0.02).abs() < 1e-15);
        assert!((apart(at("0.03", "40"), at("0.01", "220")) - 0.04).abs() < 1e-15);
        assert!((apart(at("0.03", "0"), at("0.04", "90")) - 0.05).abs() < 1e-15);
    }

    proptest! {
        /// A turning oval, step by step: an ellipse of half axes r + o/4 and r - o/4 whose centre runs round the axis
        /// at the distance of the bend. What the indicator on top swings lies where the formula says.
        #[test]
        fn a_turned_oval_swings_as_said(bent in 0.0_f64..0.1, oval in 0.0_f64..0.05, axis in 0.0_f64..180.0) {
            let height = |turn: f64| {
                let out = turn - axis.to_radians();
                let touch = (25.0 + oval / 4.0).powi(2) * out.cos().powi(2)
                    + (25.0 - oval / 4.0).powi(2) * out.sin().powi(2);
                touch.sqrt() + bent * turn.cos()
            };
            let heights = (0..3_600).map(|step| height(f64::from(step).to_radians() / 10.0));
            let (low, high) =
                heights.fold((f64::MAX, f64::MIN), |(low, high), h| (low.min(h), high.max(h)));
            let exact = |value: f64| mm(&format!("{value:.5}"));
            let told = bend(exact(high - low), exact(oval));
            prop_assert!(told.least.to_mm() < bent + 2e-5, "{told:?}, not {bent}");
            prop_assert!(told.most.to_mm() > bent - 2e-5, "{told:?}, not {bent}");
        }
    }
}
