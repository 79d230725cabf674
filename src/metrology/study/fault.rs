//! Why a table of readings is no study.

use std::fmt;

/// What is wrong, in words for who does the study.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StudyFault {
    /// No readings.
    Empty,
    /// Two readings of one trial.
    Twice {
        /// Which part.
        part: String,
        /// By whom.
        person: String,
        /// Which trial.
        trial: u32,
    },
    /// A person measured a part more or less often than the table's first.
    Unbalanced {
        /// Which part.
        part: String,
        /// By whom.
        person: String,
        /// How often.
        are: usize,
        /// How often the first was.
        expected: usize,
    },
    /// One reading a person and part: nothing repeats.
    OneTrial,
    /// Average and range has no factor for so many or so few.
    NoFactor {
        /// Of what: parts, people, trials.
        of: &'static str,
        /// How many there are.
        are: usize,
        /// The most there may be; the least is two.
        most: usize,
    },
}

impl fmt::Display for StudyFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "a study without readings; measure parts, each at least twice"),
            Self::Twice { part, person, trial } => {
                write!(f, "part {part} has two readings of trial {trial} by {person}; withdraw one")
            }
            Self::Unbalanced { part, person, are, expected } => write!(
                f,
                "part {part} was measured {are} times by {person}, where {expected} times was expected; each person \
                 has to measure each part equally often: measure what is missing, or leave this part or person out"
            ),
            Self::OneTrial => {
                write!(f, "each part was measured once; each person has to measure each part at least twice")
            }
            Self::NoFactor { of, are, most } => write!(
                f,
                "average and range needs 2 to {most} {of}, and there are {are}; use the analysis of variance"
            ),
        }
    }
}

impl std::error::Error for StudyFault {}
