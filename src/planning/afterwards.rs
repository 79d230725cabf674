//! What goes with the work on a part, once however much of it is worked on: it is crack tested again, its skin is hardened
//! again.
//!
//! Whether it is asked for depends on which branches of the tree are taken. So the tree of a part is split into what
//! asks for it and what does not, each combination in one of the two, and the first costs the more: the search stays
//! exact.

use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::search::Ways;
use crate::planning::ways::Builder;
use crate::sheets::Part;
use crate::shop::PartPlace;
use std::collections::BTreeSet;

/// As it is written in price lists and orders.
pub const CRACK_TEST: &str = "crack test";

impl Builder<'_> {
    /// The tree of a part, with what goes with the work in it.
    pub(super) fn with_afterwards(&mut self, place: PartPlace, part: &Part, ways: Ways) -> Ways {
        let mut asked = BTreeSet::new();
        self.each_line(&ways, &mut |builder, line| asked.extend(builder.afterwards(part, line)));
        let owes_test = self.job.parts.get(&place).is_some_and(|life| life.untested_work(part).is_some());
        if owes_test {
            asked.insert(CRACK_TEST.to_owned());
        }
        let mut ways = ways;
        for operation in asked {
            let owed = owes_test && operation == CRACK_TEST;
            let asks = |builder: &Self, line: &PlanLine| builder.afterwards(part, line).contains(&operation);
            let split =
                if owed { Split { without: None, with: Some(ways) } } else { self.split(&ways, &asks) };
            let price = self.prices.whole(&operation, &part.key);
            let line = PlanLine::of(Deed::Afterwards { part: place, operation }, price);
            ways = self.followed_by(split, line);
        }
        ways
    }

    /// The tree of a part, or of all parts of a kind, with what its operations cost once, however many places: setting up.
    /// (Those of a group's size are the group's.)
    pub(super) fn with_setting_up(&mut self, ways: Ways) -> Ways {
        let mut asked: BTreeSet<(usize, String)> = BTreeSet::new();
        self.each_line(&ways, &mut |_, line| asked.extend(set_up_for(line)));
        let mut ways = ways;
        for (feature, operation) in asked {
            let Some(line) = self.once(feature, &operation) else { continue };
            let asks = |_: &Self, line: &PlanLine| set_up_for(line) == Some((feature, operation.clone()));
            let split = self.split(&ways, &asks);
            ways = self.followed_by(split, line);
        }
        ways
    }

    /// The tree again, what asks for it with one line more.
    fn followed_by(&mut self, Split { without, with }: Split, line: PlanLine) -> Ways {
        let (cost, index) = (line.cost, self.lines.len());
        self.lines.push(line);
        let with = with.map(|with| Ways::Then(Box::new(with), cost, index));
        Ways::Any(without.into_iter().chain(with).collect())
    }

    /// What goes with one piece of work.
    fn afterwards(&self, part: &Part, line: &PlanLine) -> Vec<String> {
        let tested = |operation: &str| part.is_tested_again_after(operation).then(|| CRACK_TEST.to_owned());
        if let Deed::Mend { operation, .. } = &line.deed {
            return tested(operation).into_iter().collect();
        }
        let Deed::Work { surface, operation, to, how } = &line.deed else { return Vec::new() };
        let sizes = self.sheet.features.get(surface.feature).and_then(|feature| feature.sizes.as_ref());
        let skin = sizes.and_then(|sizes| sizes.skin.as_ref()).filter(|skin| match how {
            How::CleansUp | How::NotMeasured | How::Again => {
                to.and_then(|size| size.step()).is_some_and(|step| skin.whole_to < step)
            }
            How::BuiltUp | How::Cut(_) | How::Otherwise => false,
        });
        skin.and_then(|skin| skin.again.clone()).into_iter().chain(tested(operation)).collect()
    }

    fn each_line(&self, ways: &Ways, see: &mut impl FnMut(&Self, &PlanLine)) {
        match ways {
            Ways::One(_, line) => {
                if let Some(line) = self.lines.get(*line) {
                    see(self, line);
                }
            }
            Ways::All(branches) | Ways::Any(branches) => {
                branches.iter().for_each(|branch| self.each_line(branch, see));
            }
            // What comes then is what went with the work before it, and asks for nothing itself.
            Ways::Then(ways, ..) => self.each_line(ways, see),
            Ways::Costing(_, ways) => self.each_line(ways, see),
        }
    }

    fn split(&self, ways: &Ways, asks: &impl Fn(&Self, &PlanLine) -> bool) -> Split {
        match ways {
            Ways::One(_, line) => {
                let is_asked = self.lines.get(*line).is_some_and(|line| asks(self, line));
                let ways = Some(ways.clone());
                if is_asked {
                    Split { without: None, with: ways }
                } else {
                    Split { without: ways, with: None }
                }
            }
            Ways::Any(branches) => {
                let split = || branches.iter().map(|branch| self.split(branch, asks));
                Split {
                    without: any(split().filter_map(|split| split.without).collect()),
                    with: any(split().filter_map(|split| split.with).collect()),
                }
            }
            Ways::All(branches) => self.split_all(branches, asks),
            Ways::Then(first, cost, line) => {
                let Split { without, with } = self.split(first, asks);
                let then = |ways: Ways| Ways::Then(Box::new(ways), *cost, *line);
                Split { without: without.map(then), with: with.map(then) }
            }
            Ways::Costing(cost, ways) => {
                let Split { without, with } = self.split(ways, asks);
                let costing = |ways: Ways| Ways::Costing(*cost, Box::new(ways));
                Split { without: without.map(costing), with: with.map(costing) }
            }
        }
    }

    /// With: the first branch that asks is this one, those before it do not, and those behind it may.
    fn split_all(&self, branches: &[Ways], asks: &impl Fn(&Self, &PlanLine) -> bool) -> Split {
        let mut before: Option<Vec<Ways>> = Some(Vec::new());
        let mut with = Vec::new();
        for (index, branch) in branches.iter().enumerate() {
            let Some(so_far) = before.as_mut() else { break };
            let split = self.split(branch, asks);
            if let Some(asking) = split.with {
                let behind = branches.iter().skip(index + 1).cloned();
                with.push(Ways::All(so_far.iter().cloned().chain([asking]).chain(behind).collect()));
            }
            match split.without {
                Some(calm) => so_far.push(calm),
                None => before = None,
            }
        }
        Split { without: before.map(Ways::All), with: any(with) }
    }
}

/// Feature and operation of work that is no work to a size.
fn set_up_for(line: &PlanLine) -> Option<(usize, String)> {
    let Deed::Work { surface, operation, to: None, .. } = &line.deed else { return None };
    Some((surface.feature, operation.clone()))
}

/// A tree in two: the combinations in which nothing asks, and those in which something does; `None` where there are none.
struct Split {
    without: Option<Ways>,
    with: Option<Ways>,
}

fn any(branches: Vec<Ways>) -> Option<Ways> {
    (!branches.is_empty()).then_some(Ways::Any(branches))
}
