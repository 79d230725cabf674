//! Pieces that cannot be used as they are, what somebody decided about them, and what can be done to keep one.
//!
//! A decision answers the findings that were recorded before it and the piece that was there; mending answers those before it.

use crate::facts::DispositionWord;
use crate::planning::line::{Deed, PlanLine};
use crate::planning::prices::is_mending;
use crate::planning::search::Ways;
use crate::planning::ways::Builder;
use crate::sheets::Part;
use crate::shop::{FindingNow, PartPlace};

impl Builder<'_> {
    /// What a person has decided of a piece: it is replaced, it is not, nothing yet.
    pub(super) fn decided(&self, place: PartPlace) -> Option<bool> {
        let last = self.job.decided_on(place)?;
        if matches!(last.what, DispositionWord::HoldForOwner | DispositionWord::OpenProblem) {
            return None;
        }
        let renewed = self.job.parts.get(&place).and_then(|life| life.renewed.as_ref());
        // It was of the piece that was there before, or made before this was found.
        let is_of_another = renewed.is_some_and(|renewed| last.said.at <= renewed.at);
        let is_too_early = self.worst(place).is_some_and(|found| last.said.at < found.said.at);
        (!is_of_another && !is_too_early).then_some(last.what.gives_up())
    }

    /// Why a piece cannot be used as it is: a finding that asks for another one, and that nobody has mended since.
    pub(super) fn spoilt(&self, place: PartPlace) -> Option<String> {
        let worst = self.worst(place)?;
        Some(format!(
            "{} of severity {}: somebody decides what becomes of it",
            worst.defect.word(),
            worst.severity
        ))
    }

    /// The worst of what was found and not mended since, the latest of the equally bad.
    fn worst(&self, place: PartPlace) -> Option<&FindingNow> {
        let life = self.job.parts.get(&place);
        let is_mended = |found: &FindingNow| {
            let since = life.into_iter().flat_map(|life| &life.worked);
            since.into_iter().any(|work| found.said.at <= work.said.at && is_mending(&work.operation))
        };
        let bad = self.job.found_on(place).filter(|found| found.severity >= 4 && !is_mended(found));
        bad.max_by_key(|found| (found.severity, found.said.at))
    }

    /// A spoilt piece that is kept: by what the price list can have done to such a part; before anybody has decided it, it
    /// is somebody's to decide.
    pub(super) fn mended(&mut self, place: PartPlace, part: &Part, why: &str) -> Ways {
        let decided = self.decided(place);
        let mut operations = self.prices.mending(&part.key);
        if operations.is_empty() && decided.is_some() {
            operations.push("repair".to_owned());
        }
        let mut ways = Vec::new();
        for operation in operations {
            let price = self.prices.whole(&operation, &part.key);
            let mut line = PlanLine::of(Deed::Mend { part: place, operation }, price);
            line.cost.patched = 1;
            // What it is weighed against is said beside it.
            line.obtainable = self.prices.part(&part.key, None, 1).filter(|_| decided.is_none());
            ways.push(self.one(line));
        }
        if ways.is_empty() {
            let about = self.job.parts_name(&[place]);
            return self.nothing(about, why.to_owned());
        }
        Ways::Any(ways)
    }
}
