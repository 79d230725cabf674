//! Readings that look like a slip: questioned and kept out until a named person confirms or replaces them.
//!
//! One file a rule. A rule sees one reading, the repeats of one place, or the set, against the size in hand and says
//! why it asks; what it thinks was meant is a hint for the person, never a value (promise 7). A confirmed
//! reading is not asked about again. How seldom honest sets are asked about, and how many slips are seen, is measured by
//! `tests/questioned.rs` on a model of wear that knows nothing of these rules.

mod confirmed;
mod decimal_slip;
mod far_off;
mod far_worn;
mod lift_parts;
mod no_setting;
mod other_condition;
mod past_new;
mod peers;
mod plates;
mod reach;
mod repeats_conflict;
mod swapped_digits;
mod turn;
mod two_gaps;
mod two_places;
mod unit_slip;
mod unlike_neighbours;
mod unlike_others;
mod unlike_values;
mod unworn;
mod whole_number;
mod why;
mod whys;
mod worn_evenly;

use crate::facts::Code;
use crate::judgement::questions::confirmed::Spot;
use crate::judgement::questions::reach::Reach;
use crate::judgement::questions::whys::Whys;
use crate::judgement::values::ReadingRef;
use crate::metrology::Unit;
use crate::metrology::repeats::MOST_REPEATS;
use crate::sheets::{Feature, Limits};
use crate::shop::{Place, ReadingSet, SetKey, SurfaceKey};

pub use confirmed::Confirmation;
pub(super) use confirmed::confirmations;
pub(super) use peers::Peer;
pub use why::QuestionWhy;

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

/// What a set is questioned against.
#[derive(Clone)]
pub(super) struct Asking<'a> {
    pub(super) feature: &'a Feature,
    pub(super) surface: SurfaceKey,
    pub(super) name: String,
    pub(super) unit: Unit,
    pub(super) set: SetKey,
    /// New limits at the size in hand.
    pub(super) new: Option<Limits>,
    /// The surface is new, or was just finished to that size: nothing of it has worn.
    pub(super) fresh: bool,
    pub(super) stands: bool,
    /// The other positions of the feature in the same condition; few sets ask for them.
    pub(super) peers: &'a dyn Fn() -> Vec<Peer>,
}

/// Everything that is asked about in one set.
pub(super) fn ask(asking: &Asking<'_>, set: &ReadingSet) -> Vec<Question> {
    let mut questions = Vec::new();
    let Some(reach) = Reach::of(asking.feature) else { return questions };
    let whys = Whys::of(asking, &reach, set);
    for (place, readings) in &set.readings {
        let spot = Spot::of(asking, &whys, set, (*place, readings));
        let (mut sound, mut unconfirmed) = (Vec::new(), false);
        for reading in readings {
            let confirmed = spot.word_on(reading).is_some_and(|word| word.checked.stands());
            match whys.get(reading).filter(|_| !confirmed) {
                Some(why) => questions.push(spot.question(reading, why.clone())),
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
