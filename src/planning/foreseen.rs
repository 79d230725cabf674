//! The clearance of a journal that is ground, with new shells of its size in the housing that was measured: whether it can
//! come out, and how the journal must be finished so that it does.

use crate::facts::SizeWord;
use crate::judgement::{Judgement, pair_limits};
use crate::metrology::Exact;
use crate::planning::keeps::housing;
use crate::planning::readings::Readings;
use crate::planning::ways::Builder;
use crate::sheets::Limits;
use crate::shop::{Job, SurfaceKey};

/// What is foreseen of the clearance. The shells may lie anywhere in their limits until they are measured in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Foreseen {
    /// Within limits wherever journal and shells lie in theirs.
    Holds,
    /// Whatever the shells, if the journal is finished within these, narrower than its size allows.
    Finished(Limits),
    /// Only with some shells: they are measured in their housing first, and the journal is ground to them. The clearance
    /// to hold.
    ToShells(Limits),
    /// With none: the loosest and the tightest at their best, and the limits.
    Never {
        /// Thickest shells on the largest journal in the widest place.
        loosest: Exact,
        /// Thinnest shells on the smallest journal in the narrowest place.
        tightest: Exact,
        /// What it must hold.
        limits: Limits,
    },
}

/// What is foreseen of journals that are finished to a size; nothing of what does not run in shells.
#[must_use]
pub fn foreseen_at(
    job: &Job,
    judgement: &Judgement,
    keys: &[SurfaceKey],
    size: SizeWord,
) -> Vec<(SurfaceKey, Foreseen)> {
    let readings = Readings::of(job, judgement);
    let Some(builder) = Builder::of(&readings, judgement, None) else { return Vec::new() };
    let of = |key: &SurfaceKey| {
        let finished = job.feature(*key)?.sizes.as_ref()?.finished(size.step()?);
        Some((*key, foreseen(&builder, *key, size, finished)?))
    };
    keys.iter().filter_map(of).collect()
}

/// `None` of what does not run in shells, and where housing or limits are not known.
pub(super) fn foreseen(
    builder: &Builder<'_>,
    key: SurfaceKey,
    size: SizeWord,
    finished: Limits,
) -> Option<Foreseen> {
    let pair =
        builder.sheet.pairs.iter().find(|pair| pair.walls.is_some() && pair.inner.feature == key.feature)?;
    let walls = pair.walls.as_ref()?;
    let shell = builder.sheet.features.get(walls.feature)?.new_limits(size.step())?;
    let housing = housing(builder, pair, key.position)?;
    let limits = pair_limits(pair, true)?;
    let count = i32::try_from(walls.stations.len().max(1)).ok()?;
    Some(weigh(housing, (shell.min? * count, shell.max? * count), (finished.min?, finished.max?), limits))
}

/// Housing, both shells and journal as smallest and largest.
fn weigh(
    housing: (Exact, Exact),
    shells: (Exact, Exact),
    journal: (Exact, Exact),
    limits: Limits,
) -> Foreseen {
    let loosest = housing.1 - shells.1 - journal.1;
    let tightest = housing.0 - shells.0 - journal.0;
    if !some_fits(housing, (shells.0 + journal.0, shells.1 + journal.1), limits) {
        return Foreseen::Never { loosest, tightest, limits };
    }
    let least = limits.max.map_or(journal.0, |max| housing.1 - shells.0 - max).max(journal.0);
    let most = limits.min.map_or(journal.1, |min| housing.0 - shells.1 - min).min(journal.1);
    if (least, most) == journal {
        Foreseen::Holds
    } else if least <= most {
        Foreseen::Finished(Limits { min: Some(least), max: Some(most) })
    } else {
        Foreseen::ToShells(limits)
    }
}

/// Is there something between its thinnest and its thickest that fits a gap, thick enough for the widest place and thin
/// enough for the narrowest?
pub(super) fn some_fits(gap: (Exact, Exact), of: (Exact, Exact), limits: Limits) -> bool {
    let least = limits.max.map_or(of.0, |max| gap.1 - max).max(of.0);
    let most = limits.min.map_or(of.1, |min| gap.0 - min).min(of.1);
    least <= most
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ten_thousandths(count: i32) -> Exact {
        Exact::nearest(0.002_54) * count
    }

    /// Every housing, shell pair and journal on a coarse grid, each combination tried.
    #[test]
    fn as_trying_every_combination_does() {
        let limits = Limits { min: Some(ten_thousandths(2)), max: Some(ten_thousandths(5)) };
        let range = |low: i32, width: i32| (low..=low + width).map(ten_thousandths).collect::<Vec<Exact>>();
        let ends = |of: &[Exact]| (of[0], of[of.len() - 1]);
        let mut seen = std::collections::HashSet::new();
        for ((gap, wide), (shell, journal)) in
            (10..22).flat_map(|gap| (0..6).map(move |wide| (gap, wide))).flat_map(|housing| {
                (0..4).flat_map(move |shell| (0..4).map(move |journal| (housing, (shell, journal))))
            })
        {
            let (housing, shells, journals) = (range(gap, wide), range(4, shell), range(6, journal));
            let good = |shell: Exact, journal: Exact| {
                housing.iter().all(|housing| limits.outside(*housing - shell - journal).is_none())
            };
            let some = shells.iter().any(|shell| journals.iter().any(|journal| good(*shell, *journal)));
            let all = shells.iter().all(|shell| journals.iter().all(|journal| good(*shell, *journal)));
            let whatever: Vec<Exact> = journals
                .iter()
                .copied()
                .filter(|journal| shells.iter().all(|shell| good(*shell, *journal)))
                .collect();
            let found = weigh(ends(&housing), ends(&shells), ends(&journals), limits);
            match &found {
                Foreseen::Never { .. } => assert!(!some, "{gap} {wide} {shell} {journal}"),
                Foreseen::Holds => assert!(all, "{gap} {wide} {shell} {journal}"),
                Foreseen::Finished(closer) => {
                    assert_eq!(
                        (closer.min, closer.max),
                        (whatever.first().copied(), whatever.last().copied())
                    );
                    assert!(!all);
                }
                Foreseen::ToShells(_) => {
                    assert!(some && whatever.is_empty(), "{gap} {wide} {shell} {journal}")
                }
            }
            seen.insert(std::mem::discriminant(&found));
            assert_eq!(
                some,
                some_fits(
                    ends(&housing),
                    (shells[0] + journals[0], shells[shells.len() - 1] + journals[journals.len() - 1]),
                    limits
                )
            );
        }
        assert_eq!(seen.len(), 4, "each outcome must come up");
    }
}
