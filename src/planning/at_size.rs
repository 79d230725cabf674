//! A size-class group: one size for all of its positions, but for those that a named person keeps apart.

use crate::facts::SizeWord;
use crate::metrology::Exact;
use crate::planning::group::word;
use crate::planning::keeps::{Fit, fit, fits_with_new};
use crate::planning::line::{Deed, PlanLine};
use crate::planning::need::{Need, Needs};
use crate::planning::position::{At, is_patch, may_machine, plainly, position};
use crate::planning::search::{Cost, Ways};
use crate::planning::ways::Builder;
use crate::sheets::{Feature, Remedy, RemedyKind, Role, Shape};
use crate::shop::SurfaceKey;
use std::collections::{BTreeMap, BTreeSet};

/// The group of a feature, by its index.
#[derive(Clone, Copy)]
pub(super) struct Group {
    pub(super) feature: usize,
}

/// The size a group comes to.
#[derive(Clone)]
pub(super) struct Sized {
    /// Of all positions but those apart.
    pub(super) common: SizeWord,
    /// Positions with a size of their own.
    apart: BTreeMap<usize, SizeWord>,
}

impl Sized {
    /// All of one size.
    pub(super) const fn alike(common: SizeWord) -> Self {
        Self { common, apart: BTreeMap::new() }
    }

    pub(super) fn at(&self, position: usize) -> SizeWord {
        self.apart.get(&position).copied().unwrap_or(self.common)
    }

    /// Each size that some position comes to.
    pub(super) fn sizes(&self, feature: &Feature) -> BTreeSet<SizeWord> {
        (0..feature.positions.len()).map(|position| self.at(position)).collect()
    }
}

/// A size that a group does not come to, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Index of the feature.
    pub feature: usize,
    /// The size.
    pub size: SizeWord,
    /// `bore 2: it does not clean up`.
    pub why: Vec<String>,
}

/// A size that is looked at.
struct Tried {
    sized: Sized,
    /// How each position comes to it by itself, or why it does not.
    plainly: Vec<(SurfaceKey, Result<PlanLine, String>)>,
    /// Nobody has said that its parts cannot be had.
    can_be_had: bool,
}

impl Tried {
    fn works(&self) -> bool {
        self.can_be_had && self.failing().next().is_none()
    }

    fn failing(&self) -> impl Iterator<Item = (SurfaceKey, &str)> {
        self.plainly.iter().filter_map(|(key, plainly)| Some((*key, plainly.as_ref().err()?.as_str())))
    }
}

impl Group {
    pub(super) fn keys(self, feature: &Feature) -> impl Iterator<Item = SurfaceKey> + use<> {
        (0..feature.positions.len()).map(move |position| SurfaceKey { feature: self.feature, position })
    }

    pub(super) fn is_needy(self, builder: &Builder<'_>) -> bool {
        let Some(feature) = builder.sheet.features.get(self.feature) else { return false };
        self.keys(feature)
            .any(|key| builder.is_needy(key) || fit(builder, key, builder.in_hand(key)) == Fit::No)
    }

    /// Every size the group could come to; what was agreed and stands, it comes to.
    pub(super) fn ways(self, builder: &mut Builder<'_>) -> Ways {
        let Some(feature) = builder.sheet.features.get(self.feature) else { return Ways::All(Vec::new()) };
        if let Some(needs) = Needs::of(builder.readings, feature) {
            let found: Vec<Need> = self.keys(feature).filter_map(|key| needs.need(key)).collect();
            builder.needs.extend(found.into_iter().map(|need| (need.surface, need)));
        }
        let tried = |sized: Sized| self.tried(builder, feature, sized);
        let agreed: Vec<Tried> = self.agreed_size(builder, feature).into_iter().map(tried).collect();
        // What was agreed cannot hold for a position that is done and came out wrong.
        let is_spoilt =
            |tried: &Tried| tried.failing().any(|(key, _)| builder.job.awaited_work(key).is_none());
        let holds = agreed.iter().any(|tried| !is_spoilt(tried));
        let free = if holds { Vec::new() } else { self.sizes(builder, feature) };
        let all: Vec<Tried> = agreed.into_iter().chain(free.into_iter().map(tried)).collect();
        let some_works = all.iter().any(Tried::works);
        let mut ways = Vec::new();
        for tried in &all {
            self.refuse(builder, tried);
            let patch = self.patch(builder, feature, tried, some_works);
            for patch in std::iter::once(None).chain(patch.map(Some)) {
                ways.extend(self.at(builder, feature, tried, patch));
            }
        }
        if ways.is_empty() {
            let why = "none of its sizes can be had".to_owned();
            ways.push(builder.nothing(feature.group.clone(), why));
        }
        Ways::Any(ways)
    }

    fn tried(self, builder: &Builder<'_>, feature: &Feature, sized: Sized) -> Tried {
        let plainly = self.keys(feature).map(|key| {
            let at = At { feature, size: sized.at(key.position) };
            (key, plainly(builder, &at, key))
        });
        let plainly = plainly.collect();
        let can_be_had = self.can_be_had(builder, feature, &sized);
        Tried { sized, plainly, can_be_had }
    }

    /// The size that was agreed and is not there yet, with positions that were agreed apart.
    fn agreed_size(self, builder: &Builder<'_>, feature: &Feature) -> Option<Sized> {
        let agreed = self.agreed(builder, feature);
        let mut counts: BTreeMap<SizeWord, usize> = BTreeMap::new();
        agreed.values().for_each(|size| *counts.entry(*size).or_default() += 1);
        // Of two sizes agreed on as many places the one that takes less is common.
        let most = counts.iter().max_by(|a, b| a.1.cmp(b.1).then_with(|| b.0.step().cmp(&a.0.step())));
        let common = *most?.0;
        let own = self.apart(builder, feature).into_iter().chain(agreed).filter(|(_, size)| *size != common);
        Some(Sized { common, apart: own.collect() })
    }

    /// The sizes its positions have, and those of the list that are still before the furthest of them.
    fn sizes(self, builder: &Builder<'_>, feature: &Feature) -> Vec<Sized> {
        let apart = self.apart(builder, feature);
        let together = || self.keys(feature).filter(|key| !apart.contains_key(&key.position));
        let held: BTreeSet<Option<Exact>> = together().map(|key| builder.in_hand(key).step()).collect();
        let furthest = held.iter().copied().max().flatten();
        let steps = feature.sizes.iter().flat_map(|series| series.steps.iter().copied());
        let before = steps.filter(|step| furthest.is_none_or(|furthest| furthest < *step));
        let here = held.iter().map(|step| step.map_or(SizeWord::Standard, |step| word(feature, step)));
        let all = here.chain(before.map(|step| word(feature, step)));
        all.map(|common| Sized { common, apart: apart.clone() }).collect()
    }

    /// Are these the cylinders? Where the sheet does not say, any bores that come in sizes are.
    pub(super) fn is_bore(self, builder: &Builder<'_>) -> bool {
        let is_hole = builder.sheet.features.get(self.feature).is_some_and(|f| f.shape == Shape::Bore);
        let said = builder.sheet.geometry.as_ref().and_then(|geometry| geometry.of(Role::Bore));
        said.map_or(is_hole, |bore| bore == self.feature)
    }

    /// Sizes that were agreed and are not there yet, by position.
    fn agreed(self, builder: &Builder<'_>, feature: &Feature) -> BTreeMap<usize, SizeWord> {
        let keys = self.keys(feature);
        keys.filter_map(|key| Some((key.position, builder.job.awaited_work(key)?.finished?))).collect()
    }

    /// Positions that a named person keeps apart from the others.
    fn apart(self, builder: &Builder<'_>, feature: &Feature) -> BTreeMap<usize, SizeWord> {
        let keys = self.keys(feature);
        keys.filter_map(|key| Some((key.position, builder.job.apart.get(&key)?.size))).collect()
    }

    /// Remembers why a size that was looked at is not come to without help.
    fn refuse(self, builder: &mut Builder<'_>, tried: &Tried) {
        let fault = |(key, why): (SurfaceKey, &str)| format!("{}: {why}", builder.job.surface_name(key));
        let mut why: Vec<String> = tried.failing().map(fault).collect();
        if !tried.can_be_had {
            why.push("its parts cannot be had".to_owned());
        }
        if !why.is_empty() {
            builder.refused.push(Refused { feature: self.feature, size: tried.sized.common, why });
        }
    }

    /// All positions at their size, with what helps out; `None` where the parts for it cannot be had.
    fn at(
        self,
        builder: &mut Builder<'_>,
        feature: &Feature,
        tried: &Tried,
        patch: Option<&Remedy>,
    ) -> Option<Ways> {
        let sized = &tried.sized;
        let new = self.keys(feature).flat_map(|key| fits_with_new(builder, key, sized.at(key.position)));
        let new = new.collect();
        let bought = self.bought(builder, sized, &new)?;
        let mut all = bought.ways;
        let line = |(key, plainly): &(SurfaceKey, Result<PlanLine, String>)| {
            let at = At { feature, size: sized.at(key.position) };
            // Pistons are in hand before the bar goes in, shells before the stone.
            position(builder, &at, patch, *key, plainly.clone()).after(bought.before_the_cut)
        };
        let lines: Vec<PlanLine> = tried.plainly.iter().map(line).collect();
        let operations: BTreeSet<&str> = lines.iter().filter_map(operation).collect();
        let used = feature.remedies.iter().filter(|remedy| operations.contains(remedy.operation.as_str()));
        let once: Vec<PlanLine> =
            used.filter_map(|remedy| builder.once(self.feature, &remedy.operation)).collect();
        all.extend(once.into_iter().chain(lines).map(|line| builder.one(line)));
        let resized = sized.sizes(feature).into_iter().any(|size| size != SizeWord::Standard);
        let unkept = u32::from(resized && self.is_bore(builder));
        Some(Ways::Costing(Cost { unkept, ..Cost::NOTHING }, Box::new(Ways::All(all))))
    }

    /// The sleeve or new metal that helps out where a position does not come to the size by itself: a sleeve for the few of a
    /// group that do not, for all of them only where the standard bore is wished for or no size does without; new metal only
    /// on what no size cleans up. Coated and high-silicon walls are neither bored nor sleeved by ordinary means; a wet liner
    /// is replaced.
    fn patch<'a>(
        self,
        builder: &Builder<'_>,
        feature: &'a Feature,
        tried: &Tried,
        some_works: bool,
    ) -> Option<&'a Remedy> {
        let remedy = feature.remedies.iter().find(|remedy| is_patch(remedy.kind))?;
        let open: Vec<SurfaceKey> = tried
            .failing()
            .map(|(key, _)| key)
            .filter(|key| builder.job.awaited_work(*key).is_none())
            .collect();
        let lost = |key: &SurfaceKey| builder.needs.get(key).is_some_and(|need| need.safe_step.is_none());
        let fits = if remedy.kind == RemedyKind::BuildUp {
            open.iter().all(lost)
        } else {
            open.len() * 2 < tried.plainly.len() || self.wishes_standard(builder) || !some_works
        };
        (fits && !open.is_empty() && may_machine(builder, feature)).then_some(remedy)
    }

    fn wishes_standard(self, builder: &Builder<'_>) -> bool {
        let wished = builder.job.check_in.as_ref().is_some_and(|c| c.wishes.keep_standard_bore);
        wished && self.is_bore(builder)
    }
}

fn operation(line: &PlanLine) -> Option<&str> {
    match &line.deed {
        Deed::Work { operation, .. } => Some(operation),
        Deed::Keep(_) | Deed::Once { .. } | Deed::Afterwards { .. } | Deed::Mend { .. } => None,
        Deed::Replace(_) | Deed::Buy { .. } | Deed::Hours { .. } | Deed::Nothing { .. } => None,
    }
}
