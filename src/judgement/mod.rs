//! Judgement: from readings to verdicts, each with everything it rests on.
//!
//! First every reading is looked at once (`questions`): what looks like a slip is questioned and kept out,
//! never altered (promise 7). Then each row of the sheet that has readings, or is asked, gets a [`Verdict`]:
//! the value, the limit that decides and its column, the band with its side, the probability of conformity
//! and the state that follows, the readings and gauges used (promise 5). Missing places are named; a gap is
//! not a pass (promise 6).
//!
//! One characteristic is one file. Those of one number a place share a mechanism and stand under `plain`;
//! size is one of them. Form is a difference (`out_of_round`, `taper`) or a zone
//! (`heights`), `wear` is against an unworn size, and
//! pairs stack (`clearance`, `interference`). What is worked out from several readings stands under `worked`, where several
//! surfaces are judged together by way of `set`. They share the way limits are chosen (`deciding`), the way
//! places are averaged (`values`) and, where the worst of many was chosen, how often a good part shows as much (`scatter`,
//! `rivals`).
//!
//! What a verdict means for the plan or the stage is not decided here.

mod beside;
mod budgets;
mod by_rule;
mod clearance;
mod cross_checks;
mod deciding;
mod errors;
mod expected;
mod fallback;
mod form;
mod gasket;
mod gauged;
mod heights;
mod interference;
mod judged;
mod out_of_round;
mod plain;
mod questions;
mod rivals;
mod rules;
mod scatter;
mod set;
mod size;
mod stack;
mod taper;
mod values;
mod wear;
pub mod words;
mod worked;

pub use beside::Beside;
pub use budgets::{Line, Lines, Source};
pub use deciding::Deciding;
pub use errors::{PlaceError, Weighed};
pub use expected::{Measured, SizeFrom, Tried};
pub use fallback::Fallback;
pub use gasket::{GasketChoice, GasketLeaves, gaskets_for};
pub use gauged::{Doubt, GaugeUsed};
pub use judged::{Band, Judged, Note, PlaceShown, Proof};
pub use questions::{Confirmation, Question, QuestionWhy};
pub use rules::judge;
pub use stack::pair_limits;
pub use values::ReadingRef;

use crate::facts::{Digest, SizeWord};
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Shape, Side, same_name};
use crate::shop::{Accepted, Condition, FlagKind, Job, SurfaceKey};
use std::collections::{BTreeMap, BTreeSet};

/// What a verdict is about: characteristic, place, condition, basis.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct VerdictKey {
    /// Index of the feature, or of the pair's inner feature, and of the position.
    pub surface: SurfaceKey,
    /// Number of the row.
    pub row: u32,
    /// What is judged.
    pub characteristic: Characteristic,
    /// Which instance of the part.
    pub instance: usize,
    /// In which condition.
    pub condition: Condition,
    /// At which size.
    pub basis: Option<SizeWord>,
}

/// The answer to one row at one position, in one condition.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// What it is about.
    pub key: VerdictKey,
    /// Feature or pair, in the sheet's words.
    pub feature: String,
    /// `main journal 3`.
    pub name: String,
    /// The unit it is measured and judged in.
    pub unit: Unit,
    /// It speaks for the engine as it is now; else it is history.
    pub stands: bool,
    /// The sheet asks for it in this condition and scope.
    pub asked: bool,
    /// Places that have no reading that counts.
    pub missing: Vec<String>,
    /// What the readings that count give; `None` when there are none.
    pub judged: Option<Judged>,
    /// What the general wear rules would allow, where the sheet has no service limit; it decides nothing.
    pub fallback: Option<Fallback>,
    /// The gauges it rests on, as they were when they were read with.
    pub gauges: Vec<GaugeUsed>,
}

impl Verdict {
    /// Asked for, and a place is missing.
    #[must_use]
    pub fn is_incomplete(&self) -> bool {
        self.asked && !self.missing.is_empty()
    }

    /// Beyond the limit that decides, by number.
    #[must_use]
    pub fn is_beyond(&self) -> bool {
        self.judged.as_ref().is_some_and(|judged| matches!(judged.band, Band::Beyond(_)))
    }

    /// Beyond, and proven.
    #[must_use]
    pub fn is_proven_beyond(&self) -> bool {
        self.is_beyond() && self.judged.as_ref().is_some_and(|judged| judged.proof == Proof::Proven)
    }

    /// Its size is past the limit on the side that machining goes to: nobody puts metal back by sending it back.
    #[must_use]
    pub fn is_metal_gone(&self, job: &Job) -> bool {
        let beyond =
            |side: Side| self.judged.as_ref().is_some_and(|judged| judged.band == Band::Beyond(side));
        self.key.characteristic == Characteristic::Size
            && match job.feature(self.key.surface).map(|feature| feature.shape) {
                Some(Shape::Shaft) => beyond(Side::Below),
                Some(Shape::Bore) => beyond(Side::Above),
                Some(Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either) | None => false,
            }
    }

    /// It rests on a gauge that cannot be trusted.
    #[must_use]
    pub fn is_in_doubt(&self) -> bool {
        self.judged.as_ref().is_some_and(|judged| judged.proof == Proof::InDoubt)
    }

    /// Why nothing says how sure it is, and what helps; `None` where something does. More readings would not.
    #[must_use]
    pub fn without_figure(&self) -> Option<String> {
        self.judged.as_ref().filter(|judged| judged.proof == Proof::NoFigure)?;
        let flags = self.gauges.iter().flat_map(|used| &used.state.flags);
        let unknown: BTreeSet<&str> =
            flags.filter(|flag| flag.kind == FlagKind::UnknownKind).map(|flag| flag.words.as_str()).collect();
        Some(if self.gauges.is_empty() {
            "no known gauge was named, so nothing says how sure it is: drop the readings again with their gauge".to_owned()
        } else if unknown.is_empty() {
            "the house rules have no figure for its gauge here, so nothing says how sure it is: give it one"
                .to_owned()
        } else {
            let why = unknown.into_iter().collect::<Vec<_>>().join(", ");
            format!(
                "{why}, so nothing says how sure it is: give that kind a figure in the house rules; or, where it was named \
                wrong, withdraw the drop that named it and drop the gauge anew as a kind they know"
            )
        })
    }

    /// A named person's word accepts this value.
    #[must_use]
    pub fn is_accepted_by(&self, accepted: &Accepted) -> bool {
        same_name(&accepted.name, &self.feature)
            && accepted.position == self.key.surface.position
            && accepted.characteristic.is_none_or(|characteristic| characteristic == self.key.characteristic)
    }

    /// Somebody accepted it.
    #[must_use]
    pub fn is_accepted(&self, job: &Job) -> bool {
        job.accepted.iter().any(|accepted| self.is_accepted_by(accepted))
    }

    /// One name for this verdict in what was told and in the ledger's rows.
    #[must_use]
    pub fn told_key(&self) -> String {
        let basis =
            self.key.basis.and_then(SizeWord::step).map_or_else(|| "standard".to_owned(), Exact::canonical);
        format!(
            "{}/{}/{}/{}/{}",
            self.name,
            self.key.characteristic.word(),
            self.key.instance,
            self.key.condition.word(),
            basis
        )
    }

    /// Digest of the readings it rests on and of what came out.
    #[must_use]
    pub fn evidence(&self) -> Option<Digest> {
        self.judged.as_ref().map(Judged::evidence)
    }
}

/// Everything judgement says about a job.
#[derive(Clone, Debug, Default)]
pub struct Judgement {
    /// All verdicts, those that stand and history, in the sheet's order.
    pub verdicts: Vec<Verdict>,
    /// Readings that are questioned and kept out.
    pub questions: Vec<Question>,
    /// Gaskets that the highest parts choose, where all are measured.
    pub gaskets: Vec<GasketChoice>,
    /// Readings that a named person confirmed, and whether that word stands.
    pub confirmations: Vec<Confirmation>,
    /// Readings that their gauge puts in doubt, those that stand and history.
    pub doubts: Vec<Doubt>,
    /// The values that the verdicts came of, for [`Measured`].
    present: BTreeMap<SurfaceKey, rules::Present>,
}

impl Judgement {
    /// Verdicts that speak for the engine as it is.
    pub fn standing(&self) -> impl Iterator<Item = &Verdict> {
        self.verdicts.iter().filter(|verdict| verdict.stands)
    }
}
