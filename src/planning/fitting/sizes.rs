//! The size a surface has, or will have once its agreed work is done.

use crate::facts::SizeWord;
use crate::judgement::{Measured, SizeFrom};
use crate::metrology::Exact;
use crate::sheets::{Feature, Limits, Member};
use crate::shop::{Job, SurfaceKey};

/// A member of a stack at a position: where its size comes from, and which it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sized {
    pub(super) from: SizeFrom,
    pub(super) size: SizeWord,
    /// Smallest and largest.
    pub(super) ends: (Exact, Exact),
}

/// The size that counts at a position: the one agreed where it still has to be made, else as it was read. `None` while
/// neither is known: after other work it is to be read again.
pub(super) fn sized(job: &Job, measured: &Measured<'_>, member: &Member, position: usize) -> Option<Sized> {
    let key = SurfaceKey { feature: member.feature, position };
    let feature = job.feature(key)?;
    if let Some(agreed) = job.awaited_work(key) {
        let size = agreed.finished?;
        let limits = both(feature.new_limits(size.step()))?;
        return Some(Sized { from: SizeFrom::Within(limits), size, ends: (limits.min?, limits.max?) });
    }
    let ends = measured.ends(member, position)?;
    let size = job.surfaces.get(&key)?.basis.unwrap_or(SizeWord::Standard);
    Some(Sized { from: SizeFrom::Read(position), size, ends })
}

/// Limits with both bounds.
pub(super) fn both(limits: Option<Limits>) -> Option<Limits> {
    limits.filter(|limits| limits.min.is_some() && limits.max.is_some())
}

/// Limits of a new part of a feature in this size.
pub(super) fn new_of(feature: &Feature, size: SizeWord) -> Option<Limits> {
    both(feature.new_limits(size.step()))
}

/// The middle of two ends.
pub(super) fn middle(ends: (Exact, Exact)) -> Exact {
    (ends.0 + ends.1).part(1, 2)
}
