//! A size-class group: one size for all of its positions, and how each comes to it.

use crate::facts::SizeWord;
use crate::metrology::Exact;
use crate::planning::group::word;
use crate::planning::keeps::{Fit, fit, fits_with_new};
use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::need::{Need, Needs};
use crate::planning::search::{Cost, Ways};
use crate::planning::walls::walls;
use crate::planning::ways::Builder;
use crate::sheets::{BoreSurface, Feature, Remedy, RemedyKind, Shape};
use crate::shop::SurfaceKey;
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// The group of a feature, by its index.
#[derive(Clone, Copy)]
pub(super) struct Group {
    pub(super) feature: usize,
}

/// What a position needs to know of the size it is to come to.
struct At<'a> {
    feature: &'a Feature,
    size: SizeWord,
    /// A sleeve or new metal may be used.
    patched: bool,
}

/// How a position comes to a size by itself, or why it does not.
type Plainly = Result<PlanLine, String>;

impl Group {
    pub(super) fn keys(self, feature: &Feature) -> impl Iterator<Item = SurfaceKey> {
        (0..feature.positions.len()).map(move |position| SurfaceKey { feature: self.feature, position })
    }

    pub(super) fn is_needy(self, builder: &Builder<'_>) -> bool {
        let Some(feature) = builder.sheet.features.get(self.feature) else { return false };
        self.keys(feature)
            .any(|key| builder.is_needy(key) || fit(builder, key, builder.in_hand(key)) == Fit::No)
    }

    /// Every size the group could come to.
    pub(super) fn ways(self, builder: &mut Builder<'_>) -> Ways {
        let Some(feature) = builder.sheet.features.get(self.feature) else { return Ways::All(Vec::new()) };
        if let Some(needs) = Needs::of(builder.readings, feature) {
            let found: Vec<Need> = self.keys(feature).filter_map(|key| needs.need(key)).collect();
            builder.needs.extend(found.into_iter().map(|need| (need.surface, need)));
        }
        let mut ways = Vec::new();
        for size in self.sizes(builder, feature) {
            for patched in [false, true] {
                ways.extend(self.at(builder, &At { feature, size, patched }));
            }
        }
        if ways.is_empty() {
            let why = "none of its sizes can be had".to_owned();
            ways.push(builder.nothing(feature.group.clone(), why));
        }
        Ways::Any(ways)
    }

    /// The sizes its positions have, and those of the list that are still before the furthest of them.
    fn sizes(self, builder: &Builder<'_>, feature: &Feature) -> Vec<SizeWord> {
        let held: BTreeSet<Option<Exact>> =
            self.keys(feature).map(|key| builder.in_hand(key).step()).collect();
        let furthest = held.iter().copied().max().flatten();
        let steps = feature.sizes.iter().flat_map(|series| series.steps.iter().copied());
        let before = steps.filter(|step| furthest.is_none_or(|furthest| furthest < *step));
        let here = held.iter().map(|step| step.map_or(SizeWord::Standard, |step| word(feature, step)));
        here.chain(before.map(|step| word(feature, step))).collect()
    }

    /// All positions at one size; `None` where the parts for it cannot be had.
    fn at(self, builder: &mut Builder<'_>, at: &At<'_>) -> Option<Ways> {
        let plainly: Vec<(SurfaceKey, Plainly)> =
            self.keys(at.feature).map(|key| (key, plainly(builder, at, key))).collect();
        let patch = patch(builder, at, &plainly);
        if at.patched && patch.is_none() {
            return None;
        }
        let new = self.keys(at.feature).flat_map(|key| fits_with_new(builder, key, at.size)).collect();
        let bought = self.bought(builder, at.size, &new)?;
        let mut all = bought.ways;
        let is_work =
            |plainly: &Plainly| plainly.as_ref().is_ok_and(|line| matches!(line.deed, Deed::Work { .. }));
        let machined = at.feature.remedies.iter().find(|remedy| remedy.kind == RemedyKind::ToSize);
        let machined = machined.filter(|_| plainly.iter().any(|(_, plainly)| is_work(plainly)));
        for remedy in machined.into_iter().chain(patch.filter(|_| at.patched)) {
            all.extend(builder.once(self.feature, &remedy.operation));
        }
        for (key, plainly) in plainly {
            let line = position(builder, at, patch, key, plainly);
            // Pistons are in hand before the bar goes in, shells before the stone.
            all.push(builder.one(line.after(bought.before_the_cut)));
        }
        let unkept = u32::from(wishes_standard(builder, at.feature) && at.size != SizeWord::Standard);
        Some(Ways::Costing(Cost { unkept, ..Cost::NOTHING }, Box::new(Ways::All(all))))
    }
}

const fn is_patch(kind: RemedyKind) -> bool {
    matches!(kind, RemedyKind::Sleeve | RemedyKind::BuildUp)
}

/// The sleeve or new metal that helps out where a position does not come to the size by itself: a sleeve for the few of a
/// group that do not, for all of them only where the standard bore is wished for; new metal only on what no size cleans up.
/// Coated and high-silicon walls are neither bored nor sleeved by ordinary means; a wet liner is replaced.
fn patch<'a>(builder: &Builder<'_>, at: &At<'a>, plainly: &[(SurfaceKey, Plainly)]) -> Option<&'a Remedy> {
    let remedy = at.feature.remedies.iter().find(|remedy| is_patch(remedy.kind))?;
    let failing = || plainly.iter().filter(|(_, plainly)| plainly.is_err()).map(|(key, _)| key);
    let lost = |key: &SurfaceKey| builder.needs.get(key).is_some_and(|need| need.safe_step.is_none());
    let few = failing().count() * 2 < plainly.len() || wishes_standard(builder, at.feature);
    let fits = if remedy.kind == RemedyKind::BuildUp { failing().all(lost) } else { few };
    (fits && failing().next().is_some() && may_machine(builder, at.feature)).then_some(remedy)
}

fn wishes_standard(builder: &Builder<'_>, feature: &Feature) -> bool {
    let wished = builder.job.check_in.as_ref().is_some_and(|c| c.wishes.keep_standard_bore);
    wished && feature.shape == Shape::Bore
}

fn may_machine(builder: &Builder<'_>, feature: &Feature) -> bool {
    feature.shape != Shape::Bore
        || matches!(builder.sheet.engine.bore_surface, BoreSurface::PlainIron | BoreSurface::CastInSleeve)
}

/// How one position comes to the size: by itself, else by what helps out, else nothing does.
fn position(
    builder: &Builder<'_>,
    at: &At<'_>,
    patch: Option<&Remedy>,
    key: SurfaceKey,
    plainly: Plainly,
) -> PlanLine {
    match (plainly, patch.filter(|_| at.patched)) {
        (Ok(line), _) => line,
        (Err(_), Some(remedy)) => patched(builder, at, remedy, key),
        (Err(why), None) => {
            let about = format!("{} at {}", builder.job.surface_name(key), at.size.show(builder.sheet.unit));
            PlanLine::nothing(about, why)
        }
    }
}

fn plainly(builder: &Builder<'_>, at: &At<'_>, key: SurfaceKey) -> Plainly {
    let hand = builder.in_hand(key);
    match hand.step().cmp(&at.size.step()) {
        Ordering::Equal => stays(builder, at, key),
        Ordering::Less => machined(builder, at, key),
        Ordering::Greater => Err("it is past that size".to_owned()),
    }
}

/// It has the size already: it stays, or it is finished to it again where metal is left.
fn stays(builder: &Builder<'_>, at: &At<'_>, key: SurfaceKey) -> Result<PlanLine, String> {
    if !builder.is_needy(key) {
        return match fit(builder, key, at.size) {
            Fit::AsItIs | Fit::WithNew => Ok(PlanLine::free(Deed::Keep(key))),
            Fit::No => Err("no part of that size gives it a clearance within limits".to_owned()),
        };
    }
    let finished = at.feature.sizes.as_ref().map(|series| match at.size.step() {
        Some(step) => series.finished(step),
        None => series.finish,
    });
    let need = builder.needs.get(&key);
    let left = need.zip(finished).is_some_and(|(need, finished)| {
        let unscored = need.score.is_none();
        unscored
            && match at.feature.shape {
                Shape::Bore => finished.max.is_some_and(|max| need.worst < max),
                Shape::Shaft => finished.min.is_some_and(|min| min < need.worst),
                Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => false,
            }
    });
    let operation = at.feature.remedies.iter().find(|r| r.kind == RemedyKind::ToSize);
    match operation.filter(|_| left && may_machine(builder, at.feature)) {
        Some(remedy) => {
            let price = builder.work(&remedy.operation, at.feature);
            Ok(PlanLine::of(work(key, &remedy.operation, at.size, How::Again), price))
        }
        None => Err("it is beyond its limit, and no metal is left at that size".to_owned()),
    }
}

fn work(surface: SurfaceKey, operation: &str, to: SizeWord, how: How) -> Deed {
    Deed::Work { surface, operation: operation.to_owned(), to: Some(to), how }
}

fn machined(builder: &Builder<'_>, at: &At<'_>, key: SurfaceKey) -> Result<PlanLine, String> {
    let remedy = at.feature.remedies.iter().find(|remedy| remedy.kind == RemedyKind::ToSize);
    let remedy = remedy.ok_or_else(|| "the sheet machines it to no size".to_owned())?;
    if !may_machine(builder, at.feature) {
        let surface = builder.sheet.engine.bore_surface.word();
        return Err(format!("its wall ({surface}) is not bored by ordinary means"));
    }
    let (hand, size) = (builder.in_hand(key), at.size.step().ok_or("there is no way back to standard")?);
    let series = at.feature.sizes.as_ref().ok_or("it has no sizes")?;
    let beside = walls(builder.readings, builder.sheet, key, hand, Some(size));
    let unit = builder.sheet.unit;
    if let Some(thin) = beside.iter().find(|wall| wall.is_too_thin()) {
        let left = thin.left.map_or_else(String::new, |left| left.show(unit));
        return Err(format!("{} would be {left}, less than {}", thin.name, thin.least.show(unit)));
    }
    let need = builder.needs.get(&key);
    let how = match need {
        None => How::NotMeasured,
        Some(need) if need.cleans_up_at(at.feature.shape, series.finished(size)) => How::CleansUp,
        Some(need) if need.may_clean_up_at(at.feature.shape, series.finished(size)) => {
            return Err("it may not clean up: ask the machinist".to_owned());
        }
        Some(_) => return Err("it does not clean up".to_owned()),
    };
    let metal = size - hand.step().unwrap_or(Exact::ZERO);
    let price = builder.work(&remedy.operation, at.feature);
    let line = PlanLine::of(work(key, &remedy.operation, at.size, how), price).with_metal(metal);
    Ok(PlanLine { walls: beside, ..line })
}

/// A sleeve, or metal put on, and finished to the size of the others.
fn patched(builder: &Builder<'_>, at: &At<'_>, remedy: &Remedy, key: SurfaceKey) -> PlanLine {
    let hand = builder.in_hand(key).step().unwrap_or(Exact::ZERO);
    let step = at.size.step().unwrap_or(Exact::ZERO);
    let price = builder.work(&remedy.operation, at.feature);
    let metal = (step - hand).max(Exact::ZERO);
    let mut line = PlanLine::of(work(key, &remedy.operation, at.size, How::BuiltUp), price).with_metal(metal);
    line.cost.patched = 1;
    line
}
