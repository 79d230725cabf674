//! Whether what stays as it is still fits what it runs with: each part can pass and the pair fail.

use crate::facts::SizeWord;
use crate::judgement::pair_limits;
use crate::metrology::Exact;
use crate::planning::foreseen::some_fits;
use crate::planning::ways::Builder;
use crate::sheets::{Feature, Limits, Member, Pair, Shape, SizeSeries};
use crate::shop::SurfaceKey;
use std::collections::BTreeSet;

/// How a surface that stays fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Fit {
    /// With what is there, or nothing says otherwise.
    AsItIs,
    /// With new parts of its size.
    WithNew,
    /// With nothing of that size.
    No,
}

/// The worst of its pairs, by number: the parts are measured again before they go together.
pub(super) fn fit(builder: &Builder<'_>, key: SurfaceKey, size: SizeWord) -> Fit {
    let hand = builder.in_hand(key);
    if hand != size {
        // It is machined, and then judged at the new limits of its size.
        return Fit::AsItIs;
    }
    builder.sheet.pairs.iter().map(|pair| one(builder, pair, key, size)).max().unwrap_or(Fit::AsItIs)
}

/// Part kinds of the size that a surface only fits with when they are new.
pub(super) fn fits_with_new(builder: &Builder<'_>, key: SurfaceKey, size: SizeWord) -> BTreeSet<usize> {
    let pairs = builder.sheet.pairs.iter();
    let new =
        pairs.filter(|pair| builder.in_hand(key) == size && one(builder, pair, key, size) == Fit::WithNew);
    new.filter_map(|pair| Some(builder.sheet.features.get(pair.inner.feature)?.part)).collect()
}

fn one(builder: &Builder<'_>, pair: &Pair, key: SurfaceKey, size: SizeWord) -> Fit {
    if pair.walls.is_some() && pair.inner.feature == key.feature {
        journal(builder, pair, key, size)
    } else if pair.walls.is_none() && pair.outer.feature == key.feature {
        bore(builder, pair, key, size)
    } else {
        Fit::AsItIs
    }
}

/// Was the surface brought to its size by an operation? Then its pair is judged at new limits.
fn is_machined(builder: &Builder<'_>, key: SurfaceKey) -> bool {
    let surface = builder.job.surfaces.get(&key);
    surface.is_some_and(|surface| surface.done_now().any(|done| done.finished.is_some()))
}

/// A journal between shells: some stock shell of its size must bring the clearance within limits; select-fit ones too, as
/// it is not ground.
fn journal(builder: &Builder<'_>, pair: &Pair, key: SurfaceKey, size: SizeWord) -> Fit {
    let Some(limits) = pair_limits(pair, is_machined(builder, key)) else { return Fit::AsItIs };
    let Some(walls) = pair.walls.as_ref() else { return Fit::AsItIs };
    let Some(shell) = builder.sheet.features.get(walls.feature) else { return Fit::AsItIs };
    let shaft = builder.readings.ends_of_member(&pair.inner, key.position);
    let housing = housing(builder, pair, key.position).or_else(|| new_ends(builder, &pair.outer));
    let (Some(shaft), Some(housing)) = (shaft, housing) else { return Fit::AsItIs };
    let count = i32::try_from(walls.stations.len().max(1)).unwrap_or(1);
    let fits = |wall: Limits| {
        let (Some(thin), Some(thick)) = (wall.min, wall.max) else { return true };
        // The shells that are measured in will lie anywhere in their limits: what some of them fit is tried.
        let gap = (housing.0 - shaft.1, housing.1 - shaft.0);
        some_fits(gap, (thin * count, thick * count), limits)
    };
    let stock = shells(shell, size);
    if stock.is_empty() || stock.into_iter().any(fits) { Fit::AsItIs } else { Fit::No }
}

/// Walls of the shells that can be bought for a journal that is not ground.
fn shells(shell: &Feature, size: SizeWord) -> Vec<Limits> {
    let own = shell.new_limits(size.step());
    let select = shell
        .sizes
        .iter()
        .flat_map(|series: &SizeSeries| series.select_fit.iter().map(move |step| series.finished(*step)));
    let at_standard = size == SizeWord::Standard;
    own.into_iter().chain(select.filter(|_| at_standard)).collect()
}

/// A bore with what runs in it: the part that is there, or a new one of its size, which is judged at new limits.
fn bore(builder: &Builder<'_>, pair: &Pair, key: SurfaceKey, size: SizeWord) -> Fit {
    let Some(inner) = builder.sheet.features.get(pair.inner.feature) else { return Fit::AsItIs };
    let Some(hole) = builder.readings.ends_of_member(&pair.outer, key.position) else { return Fit::AsItIs };
    let loosest = |inner: Exact, new: bool| {
        let limits = pair_limits(pair, new || is_machined(builder, key));
        limits.and_then(|limits| limits.max).is_none_or(|max| hole.1 - inner <= max)
    };
    let there = SurfaceKey { feature: pair.inner.feature, position: key.position };
    let stays = builder.decided(builder.job.part_of(there)) != Some(true)
        && !builder.is_needy(there)
        && builder.in_hand(there) == size
        && builder.sheet.parts.get(inner.part).is_some_and(|part| !part.renewed);
    let measured = builder.readings.ends_of_member(&pair.inner, key.position);
    if stays && measured.is_none_or(|(smallest, _)| loosest(smallest, false)) {
        return Fit::AsItIs;
    }
    // Of new parts the largest grade can be chosen.
    let largest = inner.new_limits(size.step()).and_then(|limits| limits.max);
    match largest {
        Some(largest) if inner.shape == Shape::Shaft && !loosest(largest, true) => Fit::No,
        Some(_) | None => Fit::WithNew,
    }
}

/// Smallest and largest of the housing a journal runs in, as it will be: one that is machined is new again. `None` where
/// nobody measured it.
pub(super) fn housing(builder: &Builder<'_>, pair: &Pair, position: usize) -> Option<(Exact, Exact)> {
    let key = SurfaceKey { feature: pair.outer.feature, position };
    if builder.is_needy(key) || builder.job.awaited_work(key).is_some() {
        return new_ends(builder, &pair.outer);
    }
    builder.readings.ends_of_member(&pair.outer, position)
}

/// What a member that was not measured has when it is new.
fn new_ends(builder: &Builder<'_>, member: &Member) -> Option<(Exact, Exact)> {
    let limits = builder.sheet.features.get(member.feature)?.new_limits(None)?;
    Some((limits.min?, limits.max?))
}
