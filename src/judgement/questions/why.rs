//! Why a reading is asked about, in words for the bench: what it looks like, and what to look for.

use crate::metrology::repeats::MOST_REPEATS;
use std::fmt;

/// Why a reading is asked about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum QuestionWhy {
    /// It would fit in the other unit.
    UnitSlip {
        /// The unit it would fit in.
        unit: &'static str,
    },
    /// It would fit with the decimal point elsewhere.
    DecimalSlip {
        /// What it would be.
        meant: String,
    },
    /// It would fit with two digits exchanged.
    SwappedDigits {
        /// What it would be.
        meant: String,
    },
    /// It would fit as so many thousandths, typed as a whole number.
    WholeNumber {
        /// What it would be.
        meant: String,
    },
    /// It would fit a turn of the micrometer, or another round amount, away.
    Turn {
        /// What it would be.
        meant: String,
    },
    /// It looks like a deviation from a setting that is not said.
    NoSetting,
    /// Past new by more than three times what reuse allows.
    FarWorn {
        /// By how much past the new limit.
        by: String,
    },
    /// Of what is no diameter: further past new than wear or setting takes it.
    FarOff {
        /// By how much past the new limit.
        by: String,
        /// The new limit.
        new: String,
    },
    /// Nose and base circle leave a lift that no lobe has.
    LiftParts {
        /// Their difference.
        lift: String,
    },
    /// Every place is worn, and they are hardly apart.
    WornEvenly {
        /// How far the least worn place is past new.
        by: String,
        /// How far apart the places are.
        apart: String,
    },
    /// All other places of the surface read otherwise.
    Unlike {
        /// From what to what the others read.
        others: String,
    },
    /// All other positions of the feature read otherwise.
    UnlikeOthers {
        /// From what to what the others read.
        others: String,
    },
    /// The whole set would fit another size than the one in hand.
    OtherCondition {
        /// The size it would fit.
        fits: String,
    },
    /// Read with a torque plate on where the rest of the surface was read without, or the other way round.
    Plates {
        /// This one with.
        plate: bool,
    },
    /// Nothing of this feature can be so large or so small.
    OutOfReach,
    /// Larger than a new shaft, or smaller than a new bore, of the size in hand by more than U.
    PastNew {
        /// By how much past the new limit.
        by: String,
        /// Larger, not smaller.
        larger: bool,
    },
    /// Repeats of the place differ by more than the gauge explains.
    Repeats {
        /// Their range.
        range: String,
        /// What would be usual.
        usual: String,
    },
    /// More repeats of one place than anybody takes.
    TooMany,
    /// Stated "as received" although the surface had been worked on.
    StatedAsReceived,
}

impl QuestionWhy {
    /// What a person's word on the reading rests on: not on what the others read, which grows with every one of them.
    pub(super) fn evidence(&self) -> String {
        if matches!(self, Self::UnlikeOthers { .. }) {
            "unlike the others".to_owned()
        } else {
            self.to_string()
        }
    }
}

impl fmt::Display for QuestionWhy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnitSlip { unit } => write!(f, "it would fit if it were {unit}: wrong unit?"),
            Self::DecimalSlip { meant } => fits(f, meant, "decimal point"),
            Self::SwappedDigits { meant } => fits(f, meant, "two digits swapped"),
            Self::WholeNumber { meant } => fits(f, meant, "thousandths typed as a whole number"),
            Self::Turn { meant } => fits(f, meant, "a turn or a line of the micrometer missed"),
            Self::NoSetting => f.write_str(
                "it looks like a deviation: drop it as a deviation, with what the gauge was set to",
            ),
            Self::FarWorn { by } => {
                write!(f, "it is {by} past new, over three times what reuse allows: slip, or another size?")
            }
            Self::FarOff { by, new } => {
                write!(
                    f,
                    "it is {by} past the {new} of a new one, further than wear or work takes it: read it again"
                )
            }
            Self::LiftParts { lift } => {
                write!(f, "nose less base circle is {lift}, which no such lobe has: read both again")
            }
            Self::WornEvenly { by, apart } => {
                write!(
                    f,
                    "every place is {by} or more past new and all within {apart}, and wear is seldom so even: was the \
                     gauge set right, the part at room temperature, the size the one in hand?"
                )
            }
            Self::Unlike { others } => {
                write!(f, "the other places of it read {others}: read this one again")
            }
            Self::UnlikeOthers { others } => {
                write!(f, "the other ones of its kind {others}: read this one again")
            }
            Self::OtherCondition { fits } => {
                write!(
                    f,
                    "the whole set would fit {fits}: read before or after other work, or a stamp not recorded?"
                )
            }
            Self::Plates { plate: true } => mixed(f, "with", "without"),
            Self::Plates { plate: false } => mixed(f, "without", "with"),
            Self::OutOfReach => {
                f.write_str("nothing of this feature can be that size: another place, or a typing slip?")
            }
            Self::PastNew { by, larger: true } => past(f, by, "larger", "warm"),
            Self::PastNew { by, larger: false } => past(f, by, "smaller", "cold"),
            Self::Repeats { range, usual } => {
                write!(
                    f,
                    "repeats of this place differ by {range}, more than the usual {usual}: measure it again"
                )
            }
            Self::TooMany => {
                write!(f, "more than {MOST_REPEATS} readings of one place: is a device sending them again?")
            }
            Self::StatedAsReceived => {
                f.write_str("stated as received, but this surface was worked on before")
            }
        }
    }
}

/// Two ways of clamping in one set.
fn mixed(f: &mut fmt::Formatter<'_>, this: &str, rest: &str) -> fmt::Result {
    write!(f, "read {this} a torque plate, the rest of the surface {rest}: read all of it one way")
}

/// What nothing new measures.
fn past(f: &mut fmt::Formatter<'_>, by: &str, way: &str, part: &str) -> fmt::Result {
    write!(f, "it is {by} {way} than any new one at the size in hand: {part} part or wrong zero?")
}

/// What was meant, if this slip happened.
fn fits(f: &mut fmt::Formatter<'_>, meant: &str, slip: &str) -> fmt::Result {
    write!(f, "it would fit as {meant}: {slip}?")
}
