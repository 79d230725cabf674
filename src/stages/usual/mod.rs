//! What usually becomes of a part with such a defect: a suggestion for the person who looks at it. It decides nothing, and
//! whatever they write stands.
//!
//! `rows` is the table, a row a kind of part, after section C2 of the trade notes in our own words. A part that no row knows,
//! and a defect that its row does not name, have what is usual of any part.

mod rows;

use crate::facts::{Defect, DispositionWord};
use crate::sheets::has_word_with;
use rows::{ROWS, Row};

/// What is usual.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Usual {
    /// In a word.
    pub what: DispositionWord,
    /// What goes with it; may be empty.
    pub how: &'static str,
}

impl Usual {
    /// `replace as a set (with the bore; weigh them)`.
    #[must_use]
    pub fn words(self) -> String {
        if self.how.is_empty() {
            self.what.word().to_owned()
        } else {
            format!("{} ({})", self.what.word(), self.how)
        }
    }
}

/// What is usual of a part of this name with a defect; of a defect where it hangs on how bad it is, `None`.
pub fn usual(part: &str) -> impl Fn(Defect) -> Option<Usual> + use<> {
    let part = format!(" {} ", part.to_lowercase());
    let row = ROWS.iter().find(|row| row.names.iter().any(|name| has_word_with(&part, name)));
    move |defect| {
        let own = row.and_then(|row| row.by_defect.iter().find(|(defects, ..)| defects.contains(&defect)));
        let own = own.map(|(_, what, how)| Usual { what: *what, how });
        let whatever = |row: &Row| {
            let (what, how) = row.whatever.filter(|_| defect != Defect::NothingFound || row.never_kept)?;
            Some(Usual { what, how })
        };
        own.or_else(|| row.and_then(whatever)).or_else(|| of_any(defect))
    }
}

/// Of any part.
const fn of_any(defect: Defect) -> Option<Usual> {
    let (what, how) = match defect {
        Defect::NothingFound => (DispositionWord::ReuseSamePosition, ""),
        Defect::Crack => (DispositionWord::HoldForOwner, "crack test it; it can end the job"),
        Defect::Break => (DispositionWord::Replace, "find every piece of it"),
        Defect::Bent | Defect::Stretched => (DispositionWord::Replace, ""),
        Defect::DamagedThread => (DispositionWord::Repair, "thread insert"),
        Defect::Seized => (DispositionWord::OpenProblem, "say what was tried"),
        Defect::Deposits => (DispositionWord::Clean, ""),
        Defect::Blocked => {
            (DispositionWord::Clean, "open it and blow it through; replace what cannot be opened")
        }
        Defect::Leaking => (DispositionWord::SendOut, "pressure test it"),
        Defect::WrongPart => (DispositionWord::HoldForOwner, "measure before anything is decided"),
        Defect::PreviousRepair => {
            (DispositionWord::HoldForOwner, "measure what was done, and say so in the estimate")
        }
        Defect::MaterialState => {
            (DispositionWord::HoldForOwner, "demagnetise it, or have its hardness tested")
        }
        Defect::Missing => (DispositionWord::OpenProblem, "ask the customer"),
        Defect::Abrasion
        | Defect::Scratch
        | Defect::Scoring
        | Defect::Grooving
        | Defect::Galling
        | Defect::Pitting
        | Defect::Spalling
        | Defect::Fretting
        | Defect::Brinelling
        | Defect::Peening
        | Defect::Erosion
        | Defect::Corrosion
        | Defect::Burning
        | Defect::Loose
        | Defect::Worn => return None,
    };
    Some(Usual { what, how })
}
