//! Readings that look like a slip: questioned and kept out until a named person confirms or replaces them.
//!
//! One file a rule. A rule sees one reading (or the repeats of one place) against the size in hand and says
//! why it asks; what it thinks was meant is a hint for the person, never a value (promise 7). A confirmed
//! reading is not asked about again.

mod confirmed;
mod decimal_slip;
mod past_new;
mod reach;
mod repeats_conflict;
mod swapped_digits;
mod unit_slip;

use crate::facts::Code;
use crate::judgement::questions::confirmed::Spot;
use crate::judgement::questions::reach::Reach;
use crate::judgement::values::ReadingRef;
use crate::metrology::repeats::MOST_REPEATS;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Feature, Limits};
use crate::shop::{Place, Reading, ReadingSet, SetKey, SurfaceKey};
use std::fmt;

pub use confirmed::Confirmation;
pub(super) use confirmed::confirmations;

/// A reading that is questioned.
#[derive(Clone, Debug)]
pub struct Question {
    /// The surface.
    pub surface: SurfaceKey,
    /// The set.
    pub set: SetKey,
    /// The place.
    pub place: Place,
    /// `main journal 4 front X`.
    pub name: String,
    /// The reading.
    pub reading: ReadingRef,
    /// Its digits as written, with the unit.
    pub digits: String,
    /// Who read it.
    pub who: String,
    /// Why it is asked about.
    pub why: QuestionWhy,
    /// The set speaks for the engine as it is now.
    pub stands: bool,
    /// The evidence code to quote by who confirms it.
    pub code: Code,
    /// Who confirmed it on other evidence, so that it is asked again; empty where nobody did.
    pub was: String,
}

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

impl fmt::Display for QuestionWhy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnitSlip { unit } => write!(f, "it would fit if it were {unit}: wrong unit?"),
            Self::DecimalSlip { meant } => write!(f, "it would fit as {meant}: decimal point?"),
            Self::SwappedDigits { meant } => write!(f, "it would fit as {meant}: two digits swapped?"),
            Self::OutOfReach => {
                f.write_str("nothing of this feature can be that size: another place, or a typing slip?")
            }
            Self::PastNew { by, larger: true } => {
                write!(f, "it is {by} larger than any new one at the size in hand: warm part or wrong zero?")
            }
            Self::PastNew { by, larger: false } => {
                write!(f, "it is {by} smaller than any new one at the size in hand: cold part or wrong zero?")
            }
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

/// What a set is questioned against.
pub(super) struct Asking<'a> {
    pub(super) feature: &'a Feature,
    pub(super) surface: SurfaceKey,
    pub(super) name: String,
    pub(super) unit: Unit,
    pub(super) set: SetKey,
    /// New limits at the size in hand.
    pub(super) new: Option<Limits>,
    pub(super) stands: bool,
}

/// Everything that is asked about in one set.
pub(super) fn ask(asking: &Asking<'_>, set: &ReadingSet) -> Vec<Question> {
    let mut questions = Vec::new();
    let Some(reach) = Reach::of(asking.feature) else { return questions };
    for (place, readings) in &set.readings {
        let spot = Spot::of(asking, &reach, set, (*place, readings));
        let (mut sound, mut unconfirmed) = (Vec::new(), false);
        for reading in readings {
            let confirmed = spot.word_on(reading).is_some_and(|word| word.checked.stands());
            match one(asking, &reach, reading).filter(|_| !confirmed) {
                Some(why) => questions.push(spot.question(reading, why)),
                None => {
                    unconfirmed |= !confirmed;
                    sound.push(reading);
                }
            }
        }
        let conflict = if sound.len() > MOST_REPEATS {
            Some(QuestionWhy::TooMany)
        } else if unconfirmed {
            repeats_conflict::why(asking.unit, &sound)
        } else {
            None
        };
        if let Some(why) = conflict {
            questions.extend(sound.iter().map(|reading| spot.question(reading, why.clone())));
        }
    }
    questions
}

/// The first rule that asks about one reading; a slip with a likely meaning before one without.
fn one(asking: &Asking<'_>, reach: &Reach, reading: &Reading) -> Option<QuestionWhy> {
    if reading.stated_as_received {
        return Some(QuestionWhy::StatedAsReceived);
    }
    let past = past_new::why(asking, reading);
    if !reach.holds(reading.value) {
        let slip =
            unit_slip::why(reach, reading).or_else(|| decimal_slip::why(reach, reading)).or_else(|| {
                swapped_digits::why(reading, |value| {
                    let brought = reach.brought(value, reading.unit);
                    brought.is_some_and(|value| reach.is_likely(value))
                })
            });
        // A worn-out gap or a spring gone flat is far from any limit and still true; a diameter is not.
        return slip.or_else(|| reach.is_sure(reading.value).then_some(QuestionWhy::OutOfReach));
    }
    // Past new by no more than a hot part can be (a thousandth of its size is some 90 degrees in steel):
    // ask about warmth. By more: exchanged digits explain it if they lead close to the size in hand.
    let near = |value: Exact| past_new::is_near(asking, value);
    let swapped = || {
        past_new::is_past(asking, reading, reading.value.part(1, 1000))
            .then(|| swapped_digits::why(reading, near))
    };
    past.map(|past| swapped().flatten().unwrap_or(past))
}
