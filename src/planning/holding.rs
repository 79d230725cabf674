//! The best way whose cuts break no limit elsewhere in the engine.
//!
//! What a cut moves elsewhere is looked at once a way is among the best, so that the ways that are kept by their costs
//! may all break something. Then one of the cuts of the best is left out, each in turn, and the best of what is left is
//! looked at again: the ways come in their order, and the first that holds is the best that lacks one of those cuts.

use crate::planning::best::best as best_of;
use crate::planning::search::{Aim, Cost, Way, Ways, front};
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// So many ways are looked at before what breaks the least is shown with what it breaks.
const MOST_LOOKED_AT: usize = 60;

/// Best by `order`, which where there is too much to weigh is that of `aim`; `holds` says whether a way breaks nothing,
/// `cuts` which of its lines cut.
pub(super) fn best_that_holds(
    ways: &Ways,
    (aim, keeping): (Aim, bool),
    order: &impl Fn(&Cost, &Cost) -> Ordering,
    holds: &impl Fn(&Way) -> bool,
    cuts: &impl Fn(&Way) -> Vec<usize>,
) -> Option<Way> {
    let best = |left_out: &BTreeSet<usize>| {
        let left = without(ways, left_out)?;
        let Ok(found) = front(&left) else { return best_of(&left, aim, keeping) };
        found.into_iter().min_by(|a, b| order(&a.cost, &b.cost).then_with(|| a.lines.cmp(&b.lines)))
    };
    let mut seen = BTreeSet::from([BTreeSet::new()]);
    let mut open = vec![(best(&BTreeSet::new())?, BTreeSet::new())];
    for _ in 0..MOST_LOOKED_AT {
        let first = open
            .iter()
            .enumerate()
            .min_by(|(_, a), (_, b)| order(&a.0.cost, &b.0.cost).then_with(|| a.0.lines.cmp(&b.0.lines)))
            .map(|(index, _)| index)?;
        let (way, left_out) = open.swap_remove(first);
        if holds(&way) {
            return Some(way);
        }
        for cut in cuts(&way) {
            let mut fewer = left_out.clone();
            fewer.insert(cut);
            if seen.insert(fewer.clone())
                && let Some(next) = best(&fewer)
            {
                open.push((next, fewer));
            }
        }
    }
    None
}

/// The tree without some of its leaves; `None` where nothing is left.
fn without(ways: &Ways, left_out: &BTreeSet<usize>) -> Option<Ways> {
    Some(match ways {
        Ways::One(_, line) if left_out.contains(line) => return None,
        Ways::One(cost, line) => Ways::One(*cost, *line),
        Ways::All(branches) => {
            Ways::All(branches.iter().map(|branch| without(branch, left_out)).collect::<Option<_>>()?)
        }
        Ways::Any(branches) => {
            let left: Vec<Ways> = branches.iter().filter_map(|branch| without(branch, left_out)).collect();
            if left.is_empty() {
                return None;
            }
            Ways::Any(left)
        }
        Ways::Then(first, cost, line) => Ways::Then(Box::new(without(first, left_out)?), *cost, *line),
        Ways::Costing(cost, ways) => Ways::Costing(*cost, Box::new(without(ways, left_out)?)),
    })
}
