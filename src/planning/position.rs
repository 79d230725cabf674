//! How one position of a group comes to a size: it has it, it is machined to it, it is sleeved or built up, or nothing helps.

use crate::facts::SizeWord;
use crate::metrology::Exact;
use crate::planning::foreseen::{Foreseen, foreseen};
use crate::planning::group::word;
use crate::planning::keeps::{Fit, fit};
use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::walls::walls;
use crate::planning::ways::Builder;
use crate::sheets::{BoreSurface, Feature, Limits, Remedy, RemedyKind, Shape};
use crate::shop::SurfaceKey;
use std::cmp::Ordering;

/// What a position needs to know of the size it is to come to.
pub(super) struct At<'a> {
    pub(super) feature: &'a Feature,
    pub(super) size: SizeWord,
}

pub(super) const fn is_patch(kind: RemedyKind) -> bool {
    matches!(kind, RemedyKind::Sleeve | RemedyKind::BuildUp)
}

pub(super) fn may_machine(builder: &Builder<'_>, feature: &Feature) -> bool {
    feature.shape != Shape::Bore
        || matches!(builder.sheet.engine.bore_surface, BoreSurface::PlainIron | BoreSurface::CastInSleeve)
}

/// How one position comes to the size: by itself, else by what helps out, else nothing does.
pub(super) fn position(
    builder: &Builder<'_>,
    at: &At<'_>,
    patch: Option<&Remedy>,
    key: SurfaceKey,
    plainly: Result<PlanLine, String>,
) -> PlanLine {
    let agreed = builder.job.awaited_work(key).is_some();
    match (plainly, patch.filter(|_| !agreed)) {
        (Ok(line), _) => line,
        (Err(_), Some(remedy)) => patched(builder, at, &remedy.operation, key),
        (Err(why), None) => {
            let about = format!("{} at {}", builder.job.surface_name(key), at.size.show(builder.sheet.unit));
            PlanLine::nothing(about, why)
        }
    }
}

/// By itself, or as it was agreed; else why it does not.
pub(super) fn plainly(builder: &Builder<'_>, at: &At<'_>, key: SurfaceKey) -> Result<PlanLine, String> {
    let agreed = builder.job.awaited_work(key);
    if let Some(agreed) = agreed.filter(|agreed| is_patch(RemedyKind::of(&agreed.operation))) {
        return Ok(patched(builder, at, &agreed.operation, key));
    }
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
    let operation = at.feature.remedies.iter().find(|r| r.kind == RemedyKind::ToSize);
    let Some(remedy) = operation.filter(|_| may_machine(builder, at.feature)) else {
        return Err("it is beyond its limit, and nothing machines it at that size".to_owned());
    };
    let finished = finished(at).ok_or("it has no sizes")?;
    is_metal_left(builder, at, key, finished)?;
    let foreseen = clearance(builder, at, key, finished)?;
    let price = builder.work(&remedy.operation, at.feature);
    let line = PlanLine::of(work(key, &remedy.operation, at.size, How::Again), price);
    Ok(PlanLine { foreseen, ..line })
}

/// Finished limits at the size.
fn finished(at: &At<'_>) -> Option<Limits> {
    let series = at.feature.sizes.as_ref()?;
    Some(at.size.step().map_or(series.finish, |step| series.finished(step)))
}

/// More than the gauge can tell from nothing must be left to the far finished limit.
fn is_metal_left(
    builder: &Builder<'_>,
    at: &At<'_>,
    key: SurfaceKey,
    finished: Limits,
) -> Result<(), String> {
    let beyond = || "it is beyond its limit, and no metal is left at that size".to_owned();
    let need = builder.needs.get(&key).ok_or_else(beyond)?;
    if need.score.is_some() {
        return Err("it is scored, and has that size already".to_owned());
    }
    let left = match at.feature.shape {
        Shape::Bore => finished.max.map(|max| max - need.worst),
        Shape::Shaft => finished.min.map(|min| need.worst - min),
        Shape::Wall | Shape::Grows | Shape::Shrinks | Shape::Either => None,
    };
    let left = left.filter(|left| Exact::ZERO < *left).ok_or_else(beyond)?;
    let told = need.expanded.map_or(0.0, |(_, optimistic)| optimistic);
    if left.to_mm() <= told {
        let unit = builder.sheet.unit;
        return Err(format!(
            "only {} {} is left at that size, less than its gauge can tell: ask the machinist whether it can be finished there",
            left.show(unit),
            unit.symbol()
        ));
    }
    Ok(())
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
    let (unit, finished) = (builder.sheet.unit, series.finished(size));
    if let Some(skin) = series.skin.as_ref().filter(|skin| skin.whole_to < size && skin.again.is_none()) {
        let ends = word(at.feature, skin.whole_to).show(unit);
        return Err(format!("its hard skin ends at {ends}, and the sheet knows no way to harden it again"));
    }
    let beside = walls(builder.readings, builder.sheet, key, hand, Some(size));
    if let Some(thin) = beside.iter().find(|wall| wall.is_too_thin()) {
        let left = thin.left.map_or_else(String::new, |left| left.show(unit));
        return Err(format!("{} would be {left}, less than {}", thin.name, thin.least.show(unit)));
    }
    let how = cleans_up(builder, at.feature, key, finished)?;
    let foreseen = clearance(builder, at, key, finished)?;
    let metal = size - hand.step().unwrap_or(Exact::ZERO);
    let price = builder.work(&remedy.operation, at.feature);
    let line = PlanLine::of(work(key, &remedy.operation, at.size, how), price).with_metal(metal);
    Ok(PlanLine { walls: beside, foreseen, ..line })
}

/// What clearance is foreseen, unless none can come out.
fn clearance(
    builder: &Builder<'_>,
    at: &At<'_>,
    key: SurfaceKey,
    finished: Limits,
) -> Result<Option<Foreseen>, String> {
    let unit = builder.sheet.unit;
    let foreseen = foreseen(builder, key, at.size, finished);
    if let Some(Foreseen::Never { loosest, tightest, limits }) = &foreseen {
        let (min, max) = (limits.min.map(|min| min.show(unit)), limits.max.map(|max| max.show(unit)));
        return Err(format!(
            "no new shell of that size gives it a clearance within {} to {}: {} to {} at best",
            min.unwrap_or_default(),
            max.unwrap_or_default(),
            tightest.show(unit),
            loosest.show(unit)
        ));
    }
    Ok(foreseen)
}

fn cleans_up(
    builder: &Builder<'_>,
    feature: &Feature,
    key: SurfaceKey,
    finished: Limits,
) -> Result<How, String> {
    match builder.needs.get(&key) {
        None => Ok(How::NotMeasured),
        Some(need) if need.cleans_up_at(feature.shape, finished) => Ok(How::CleansUp),
        Some(need) if need.may_clean_up_at(feature.shape, finished) => {
            Err("it may not clean up: ask the machinist".to_owned())
        }
        Some(_) => Err("it does not clean up".to_owned()),
    }
}

/// A sleeve, or metal put on, and finished to the size of the others.
fn patched(builder: &Builder<'_>, at: &At<'_>, operation: &str, key: SurfaceKey) -> PlanLine {
    let hand = builder.in_hand(key).step().unwrap_or(Exact::ZERO);
    let step = at.size.step().unwrap_or(Exact::ZERO);
    let price = builder.work(operation, at.feature);
    let metal = (step - hand).max(Exact::ZERO);
    let mut line = PlanLine::of(work(key, operation, at.size, How::BuiltUp), price).with_metal(metal);
    line.cost.patched = 1;
    line
}
