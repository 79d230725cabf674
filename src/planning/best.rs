//! The best way by one aim, for a tree with too many combinations to keep them all.
//!
//! An aim compares costs one respect after the other. What adds up can be chosen branch by branch; of days, of which the
//! longest counts, the least of each branch gives the least of all, as long as they are compared last. The soonest is
//! found in two rounds: how soon it can be, and then the best by money among what is no later.

use crate::planning::search::{Aim, Cost, Way, Ways};
use crate::planning::weighing::bare;
use std::cmp::Ordering;

/// Best by the aim, with the standard bore kept before all else or whether it is or not; `None` where the tree has no way
/// at all.
#[must_use]
pub fn best(ways: &Ways, aim: Aim, keeping: bool) -> Option<Way> {
    let seen = |cost: &Cost| if keeping { *cost } else { bare(cost) };
    match aim {
        Aim::UsualOrder | Aim::LeastMetal | Aim::LeastCost => {
            least(ways, &|a, b| aim.order(&seen(a), &seen(b)), u32::MAX)
        }
        Aim::Soonest => {
            let early = |a: &Cost, b: &Cost| {
                let key = |cost: &Cost| (cost.unsolved, seen(cost).unkept, cost.undated, cost.days);
                key(a).cmp(&key(b))
            };
            let days = least(ways, &early, u32::MAX)?.cost.days;
            // What is no later is as good: days are left out of what is compared.
            let at_once = |cost: &Cost| Cost { days: 0, ..seen(cost) };
            least(ways, &|a, b| aim.order(&at_once(a), &at_once(b)), days)
        }
    }
}

/// The least by an order that compares what adds up before days, of what takes at most so many days.
fn least(ways: &Ways, order: &impl Fn(&Cost, &Cost) -> Ordering, days: u32) -> Option<Way> {
    match ways {
        Ways::One(cost, line) => (cost.days <= days).then(|| Way { cost: *cost, lines: vec![*line] }),
        Ways::Any(branches) => {
            let found = branches.iter().filter_map(|branch| least(branch, order, days));
            found.min_by(|a, b| order(&a.cost, &b.cost).then_with(|| a.lines.cmp(&b.lines)))
        }
        Ways::All(branches) => {
            let mut all = Way { cost: Cost::NOTHING, lines: Vec::new() };
            for branch in branches {
                let found = least(branch, order, days)?;
                all.cost = all.cost.and(found.cost);
                all.lines.extend(found.lines);
            }
            all.lines.sort_unstable();
            Some(all)
        }
        Ways::Then(first, cost, line) => {
            let Way { cost: first, mut lines } = least(first, order, days.checked_sub(cost.days)?)?;
            lines.push(*line);
            lines.sort_unstable();
            Some(Way { cost: first.then(*cost), lines })
        }
        Ways::Costing(more, ways) => {
            let found = least(ways, order, days)?;
            (more.days <= days).then(|| Way { cost: found.cost.and(*more), lines: found.lines })
        }
    }
}
