//! Rows: the limits one characteristic of a feature is judged by, and what those limits were made of.

use crate::metrology::{Exact, Unit};
use crate::sheets::characteristic::Characteristic;
use crate::sheets::limits::Limits;

/// The conditions a row can be asked in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Asked {
    /// On the part as it came in, or after cleaning.
    AsReceived,
    /// After any operation on the place.
    AfterWork,
    /// As fitted, at the final assembly.
    AtAssembly,
}

/// One row of the sheet.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its number on the sheet.
    pub number: u32,
    /// What it judges.
    pub characteristic: Characteristic,
    /// The unit its limits and values are in: the feature's, but for what is worked out into another.
    pub unit: Unit,
    /// The value aimed at, where the sheet states one instead of limits, or beside them.
    pub nominal: Option<Exact>,
    /// For a new part at standard size.
    pub new: Option<Limits>,
    /// For reuse.
    pub service: Option<Limits>,
    /// The least service value is this percentage of the nominal one, rounded.
    pub service_percent: Option<u32>,
    /// For metal lost for good.
    pub after_work: Option<Limits>,
    /// Out-of-round of three directions is their range, as the sheet says, not the oval through them.
    pub by_range: bool,
    /// The length in any of which the limits hold; `None` for most.
    pub any: Option<Exact>,
    /// What the new limits were computed from; empty where they stand alone.
    pub stack: Vec<Term>,
    /// The limits in the other unit as the sheet prints them. Never judged by.
    pub other_unit: Columns,
    /// When and for which scopes it is asked; no scope listed means every scope.
    pub asked: Vec<(Asked, Vec<String>)>,
    /// The sheet's remark.
    pub note: String,
}

/// One term of a stack: a part's own limits, added or taken off.
#[derive(Clone, Debug)]
pub struct Term {
    /// What is measured, for people.
    pub what: String,
    /// Its limits when new, or those of its feature.
    pub new: Limits,
    /// Its limits once it was cut or resized, where the stack is stated after work too and this part is cut.
    pub after_work: Option<Limits>,
    /// How often it counts; below zero where it is taken off.
    pub times: i32,
}

/// Digits of the limit columns as printed.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    /// The value aimed at.
    pub nominal: Option<String>,
    /// New.
    pub new: Printed,
    /// Service.
    pub service: Printed,
    /// After work.
    pub after_work: Printed,
}

/// Digits of two bounds as printed; either may be missing.
#[derive(Clone, Debug, Default)]
pub struct Printed {
    /// At least.
    pub min: Option<String>,
    /// At most.
    pub max: Option<String>,
}

impl Row {
    /// The limits its stack gives, new or after work; `None` where it has none.
    #[must_use]
    pub fn computed(&self, of: fn(&Term) -> Limits) -> Option<Limits> {
        if self.stack.is_empty() {
            return None;
        }
        let nothing = Limits { min: Some(Exact::ZERO), max: Some(Exact::ZERO) };
        Some(self.stack.iter().fold(nothing, |sum, term| {
            let limits = of(term);
            let (low, high) =
                if term.times < 0 { (limits.max, limits.min) } else { (limits.min, limits.max) };
            let add = |a: Option<Exact>, b: Option<Exact>| a.zip(b).map(|(a, b)| a + b * term.times);
            Limits { min: add(sum.min, low), max: add(sum.max, high) }
        }))
    }
}
