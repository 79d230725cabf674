//! Why points have no form.

use crate::metrology::form::MOST_POINTS;
use std::fmt;

/// What is wrong with the points, in words for who took them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FormFault {
    /// Fewer points than show a deviation.
    TooFew {
        /// How many there are.
        are: usize,
        /// How many it takes.
        needed: usize,
    },
    /// More than [`MOST_POINTS`].
    TooMany {
        /// How many there are.
        are: usize,
    },
    /// Points that fix no surface: all at one place, in one line, or within a few degrees of a turn.
    NoShape,
    /// Two heights of a line at one place.
    SamePlace {
        /// Which of the points repeats an earlier one, counted from 1.
        point: usize,
    },
}

impl fmt::Display for FormFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { are, needed } => {
                write!(f, "{are} points show no deviation of form; measure at {needed} or more")
            }
            Self::TooMany { are } => write!(f, "{are} points; leave out all but {MOST_POINTS}"),
            Self::NoShape => {
                write!(
                    f,
                    "the points lie at one place, in one line or within a few degrees; spread them over the surface or turn"
                )
            }
            Self::SamePlace { point } => {
                write!(f, "point {point} lies where an earlier one does; give one height a place")
            }
        }
    }
}

impl std::error::Error for FormFault {}
