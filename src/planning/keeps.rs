//! Whether what stays as it is still fits what it runs with: each part can pass and the pair fail.

use crate::facts::SizeWord;
use crate::metrology::Exact;
use crate::planning::ways::Builder;
use crate::sheets::{Feature, Limits, Member, Pair, Shape, SizeSeries};
use crate::shop::SurfaceKey;

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

/// The worst of its pairs. By number and at service limits: the parts are measured again before they go together.
pub(super) fn fit(builder: &Builder<'_>, key: SurfaceKey, size: SizeWord) -> Fit {
    let hand = builder.job.surfaces.get(&key).and_then(|s| s.basis).unwrap_or(SizeWord::Standard);
    if hand != size {
        // It is machined, and then judged at the new limits of its size.
        return Fit::AsItIs;
    }
    builder.sheet.pairs.iter().map(|pair| one(builder, pair, key, size)).max().unwrap_or(Fit::AsItIs)
}

fn one(builder: &Builder<'_>, pair: &Pair, key: SurfaceKey, size: SizeWord) -> Fit {
    let limits = match (pair.row.service, pair.row.new) {
        (Some(service), Some(new)) => service.completed_by(&new),
        (Some(only), None) | (None, Some(only)) => only,
        (None, None) => return Fit::AsItIs,
    };
    if pair.walls.is_some() && pair.inner.feature == key.feature {
        journal(builder, pair, key, size, limits)
    } else if pair.walls.is_none() && pair.outer.feature == key.feature {
        bore(builder, pair, key, size, limits)
    } else {
        Fit::AsItIs
    }
}

/// A journal between shells: some stock shell of its size must bring the clearance within limits; select-fit ones too, as
/// it is not ground.
fn journal(builder: &Builder<'_>, pair: &Pair, key: SurfaceKey, size: SizeWord, limits: Limits) -> Fit {
    let Some(walls) = pair.walls.as_ref() else { return Fit::AsItIs };
    let Some(shell) = builder.sheet.features.get(walls.feature) else { return Fit::AsItIs };
    let shaft = ends(builder, &pair.inner, key.position);
    let housing = ends(builder, &pair.outer, key.position).or_else(|| new_ends(builder, &pair.outer));
    let (Some(shaft), Some(housing)) = (shaft, housing) else { return Fit::AsItIs };
    let count = i32::try_from(walls.stations.len().max(1)).unwrap_or(1);
    let fits = |wall: Limits| {
        let (Some(thin), Some(thick)) = (wall.min, wall.max) else { return true };
        let loosest = housing.1 - thin * count - shaft.0;
        let tightest = housing.0 - thick * count - shaft.1;
        // The shell that is measured in will lie anywhere in its limits: one that may fit is tried.
        limits.max.is_none_or(|max| loosest - (thick - thin) * count <= max)
            && limits.min.is_none_or(|min| min <= tightest + (thick - thin) * count)
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

/// A bore with what runs in it: the part that is there, or a new one of its size.
fn bore(builder: &Builder<'_>, pair: &Pair, key: SurfaceKey, size: SizeWord, limits: Limits) -> Fit {
    let Some(inner) = builder.sheet.features.get(pair.inner.feature) else { return Fit::AsItIs };
    let Some(hole) = ends(builder, &pair.outer, key.position) else { return Fit::AsItIs };
    let loosest = |inner: Exact| limits.max.is_none_or(|max| hole.1 - inner <= max);
    let there = SurfaceKey { feature: pair.inner.feature, position: key.position };
    let place = builder.job.part_of(there);
    let kept = builder.decided(place) != Some(true)
        && !builder.is_needy(there)
        && builder.sheet.parts.get(inner.part).is_some_and(|part| !part.renewed);
    let measured = ends(builder, &pair.inner, key.position);
    if kept && measured.is_none_or(|(smallest, _)| loosest(smallest)) {
        return Fit::AsItIs;
    }
    // Of new parts the largest grade can be chosen.
    let largest = inner.new_limits(size.step()).and_then(|limits| limits.max);
    match largest {
        Some(largest) if inner.shape == Shape::Shaft && !loosest(largest) => Fit::No,
        Some(_) | None => Fit::WithNew,
    }
}

/// Smallest and largest reading of a member at a position; `None` where it was not measured.
fn ends(builder: &Builder<'_>, member: &Member, position: usize) -> Option<(Exact, Exact)> {
    let key = SurfaceKey { feature: member.feature, position };
    let judged = builder.sheet.features.get(member.feature)?.stations.len();
    let (_, set) = builder.job.surfaces.get(&key)?.present()?;
    let counts = |listed: &[usize], index: usize| listed.is_empty() || listed.contains(&index);
    let places = set.readings.iter().filter(|(place, _)| {
        place.station < judged
            && counts(&member.stations, place.station)
            && counts(&member.directions, place.direction)
    });
    let values: Vec<Exact> = places
        .filter_map(|(_, readings)| Exact::mean(&readings.iter().map(|r| r.value).collect::<Vec<_>>()))
        .collect();
    Some((values.iter().copied().min()?, values.iter().copied().max()?))
}

/// What a member that was not measured has when it is new.
fn new_ends(builder: &Builder<'_>, member: &Member) -> Option<(Exact, Exact)> {
    let limits = builder.sheet.features.get(member.feature)?.new_limits(None)?;
    Some((limits.min?, limits.max?))
}
