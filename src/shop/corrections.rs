//! Which reading of a place stands when corrections name each other.
//!
//! Only a correction that names a drop replaces, and only at the places it restates. Of rival corrections of
//! one drop the latest recorded stands at a place; a correction of a correction carries on from there. What
//! corrects a rival that lost is lost with it.

use crate::facts::Digest;
use crate::shop::places::Spot;
use std::collections::{BTreeMap, BTreeSet};

/// One drop's readings, as far as corrections care.
pub(super) struct SetInfo {
    pub(super) fact: Digest,
    /// The drop it corrects.
    pub(super) corrects: Option<Digest>,
    pub(super) spots: BTreeSet<Spot>,
}

/// For each drop the spots at which its readings count; `None` when nothing corrects anything, and all do. `sets` in
/// recorded order.
pub(super) fn counting(sets: &[SetInfo]) -> Option<BTreeMap<Digest, BTreeSet<Spot>>> {
    if sets.iter().all(|set| set.corrects.is_none()) {
        return None;
    }
    let spots_of: BTreeMap<Digest, &BTreeSet<Spot>> = sets.iter().map(|set| (set.fact, &set.spots)).collect();
    // Target and spot, and the corrections there in recorded order.
    let mut corrections: BTreeMap<(Digest, Spot), Vec<Digest>> = BTreeMap::new();
    for set in sets {
        let Some(target) = set.corrects else { continue };
        for spot in &set.spots {
            corrections.entry((target, *spot)).or_default().push(set.fact);
        }
    }
    let mut counting: BTreeMap<Digest, BTreeSet<Spot>> = BTreeMap::new();
    for set in sets {
        for spot in &set.spots {
            let replaces =
                set.corrects.is_some_and(|target| spots_of.get(&target).is_some_and(|s| s.contains(spot)));
            if !replaces {
                counting.entry(follow(set.fact, *spot, &corrections)).or_default().insert(*spot);
            }
        }
    }
    Some(counting)
}

/// From a first reading through the latest correction of it, and of that, to the end.
fn follow(first: Digest, spot: Spot, corrections: &BTreeMap<(Digest, Spot), Vec<Digest>>) -> Digest {
    let mut at = first;
    let mut seen = BTreeSet::from([first]);
    // Short digests could be forged into a circle; each drop is entered once.
    while let Some(next) =
        corrections.get(&(at, spot)).and_then(|rivals| rivals.last()).filter(|n| seen.insert(**n))
    {
        at = *next;
    }
    at
}
