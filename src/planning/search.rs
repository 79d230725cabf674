//! The exact search behind a plan: everything that could be done, and which of it is best.
//!
//! What could be done is a tree. A leaf is one piece of work with what it costs; *all* of its branches are done
//! together, *any* one of them is enough. Costs add up, but for days, of which the longest counts: parts come and
//! benches work beside each other, unless one is said to come *then*. [`front`] keeps every combination that no other beats in every respect. Adding to
//! two combinations, or waiting longer with both, never turns their order in any respect, so what is beaten below can
//! be left out above, and the best combination by any [`Aim`] is among those kept. That is why nothing is lost
//! against trying them all, which the tests do.

use crate::facts::Money;
use crate::metrology::Exact;
use std::cmp::Ordering;

/// More combinations than these are not kept: a shop's engine has some dozens, a list of prices made to harm may not
/// take the machine.
const MOST_KEPT: usize = 1_000;

/// Nor are more than these put together at once.
const MOST_TRIED: usize = 50_000;

/// What something costs, in every respect that an aim may ask about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    /// Places that would still be beyond their limit.
    pub unsolved: u32,
    /// Bores that would not keep their standard size, which a customer may wish.
    pub unkept: u32,
    /// Parts of the engine that would be given up for others.
    pub lost: u32,
    /// Surfaces that get a sleeve or metal put on: what a careful rebuilder tries after machining.
    pub patched: u32,
    /// Metal spent: how much nearer its last size each surface comes, added up.
    pub metal: Exact,
    /// Pieces of work and parts that have no price.
    pub unpriced: u32,
    /// Price of the others.
    pub money: Money,
    /// Parts and work that have no time.
    pub undated: u32,
    /// Days until the longest of the others is done.
    pub days: u32,
}

impl Cost {
    /// Nothing at all.
    pub const NOTHING: Self = Self {
        unsolved: 0,
        unkept: 0,
        lost: 0,
        patched: 0,
        metal: Exact::ZERO,
        unpriced: 0,
        money: Money::NONE,
        undated: 0,
        days: 0,
    };

    /// Both done.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        Self {
            unsolved: self.unsolved.saturating_add(other.unsolved),
            unkept: self.unkept.saturating_add(other.unkept),
            lost: self.lost.saturating_add(other.lost),
            patched: self.patched.saturating_add(other.patched),
            metal: self.metal + other.metal,
            unpriced: self.unpriced.saturating_add(other.unpriced),
            money: self.money + other.money,
            undated: self.undated.saturating_add(other.undated),
            days: self.days.max(other.days),
        }
    }

    /// Done, and the other when it is done.
    #[must_use]
    pub fn then(self, other: Self) -> Self {
        Self { days: self.days.saturating_add(other.days), ..self.and(other) }
    }

    /// At most as much as the other in every respect.
    fn beats(&self, other: &Self) -> bool {
        self.unsolved <= other.unsolved
            && self.unkept <= other.unkept
            && self.lost <= other.lost
            && self.patched <= other.patched
            && self.metal <= other.metal
            && self.unpriced <= other.unpriced
            && self.money <= other.money
            && self.undated <= other.undated
            && self.days <= other.days
    }
}

/// What could be done. A leaf carries the index of its line.
#[derive(Clone, Debug)]
pub enum Ways {
    /// One piece of work.
    One(Cost, usize),
    /// All of these; of none: nothing is to be done.
    All(Vec<Ways>),
    /// Any one of these; of none: there is no way.
    Any(Vec<Ways>),
    /// This, and when it is done one more piece of work with its line: here days add up too.
    Then(Box<Ways>, Cost, usize),
    /// This, and it costs so much more whatever is chosen in it.
    Costing(Cost, Box<Ways>),
}

/// One combination: what it costs, and the indices of its lines in ascending order.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Way {
    /// What it costs.
    pub cost: Cost,
    /// Its lines.
    pub lines: Vec<usize>,
}

/// There are more combinations than are kept: [`super::best`] still knows the best by an aim alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooMany;

/// Every combination that none beats, in ascending order of cost; of two that cost the same the one whose lines come
/// first.
///
/// # Errors
/// [`TooMany`] when more than a thousand would have to be kept.
pub fn front(ways: &Ways) -> Result<Vec<Way>, TooMany> {
    match ways {
        Ways::One(cost, line) => Ok(vec![Way { cost: *cost, lines: vec![*line] }]),
        Ways::Any(branches) => {
            let mut all = Vec::new();
            for branch in branches {
                all.extend(front(branch)?);
            }
            unbeaten(all)
        }
        Ways::Costing(more, ways) => {
            let found = front(ways)?.into_iter();
            Ok(found.map(|way| Way { cost: way.cost.and(*more), lines: way.lines }).collect())
        }
        Ways::All(branches) => {
            let mut all = vec![Way { cost: Cost::NOTHING, lines: Vec::new() }];
            for branch in branches {
                all = each_with_each(&all, &front(branch)?, Cost::and)?;
            }
            Ok(all)
        }
        Ways::Then(first, cost, line) => {
            let then = Way { cost: *cost, lines: vec![*line] };
            each_with_each(&front(first)?, &[then], Cost::then)
        }
    }
}

fn each_with_each(ones: &[Way], twos: &[Way], add: impl Fn(Cost, Cost) -> Cost) -> Result<Vec<Way>, TooMany> {
    if ones.len() * twos.len() > MOST_TRIED {
        return Err(TooMany);
    }
    let both = |one: &Way, two: &Way| {
        let mut lines: Vec<usize> = one.lines.iter().chain(&two.lines).copied().collect();
        lines.sort_unstable();
        Way { cost: add(one.cost, two.cost), lines }
    };
    unbeaten(ones.iter().flat_map(|one| twos.iter().map(|two| both(one, two))).collect())
}

/// In ascending order a combination can only be beaten by one before it.
fn unbeaten(mut all: Vec<Way>) -> Result<Vec<Way>, TooMany> {
    all.sort_unstable();
    let mut kept: Vec<Way> = Vec::new();
    for way in all {
        if !kept.iter().any(|better| better.cost.beats(&way.cost)) {
            kept.push(way);
        }
        if kept.len() > MOST_KEPT {
            return Err(TooMany);
        }
    }
    Ok(kept)
}

/// What an owner would have of a plan above all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aim {
    /// Remedies in the order a careful rebuilder tries them: the smallest size that cleans up, a sleeve or new metal only
    /// where no size does, another part last.
    UsualOrder,
    /// As much metal left for the next time as can be.
    LeastMetal,
    /// As little money as can be.
    LeastCost,
    /// As early as can be.
    Soonest,
}

impl Aim {
    /// Every aim.
    pub const ALL: [Self; 4] = [Self::UsualOrder, Self::LeastMetal, Self::LeastCost, Self::Soonest];

    /// As printed; all but the first as written at the check-in.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::UsualOrder => "usual order",
            Self::LeastMetal => "least metal",
            Self::LeastCost => "least cost",
            Self::Soonest => "soonest",
        }
    }

    /// The aim of this word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.word() == word)
    }

    /// Whether it can be told that something of this cost serves the aim: what is cheap needs every price, what is quick
    /// every time.
    #[must_use]
    pub const fn is_known_of(self, cost: &Cost) -> bool {
        match self {
            Self::UsualOrder | Self::LeastMetal => true,
            Self::LeastCost => cost.unpriced == 0,
            Self::Soonest => cost.undated == 0,
        }
    }

    /// Which of two costs serves the aim better. What stays beyond its limit weighs most in all of them, then what was
    /// wished; what has no price or no time is never taken for cheap or quick.
    #[must_use]
    pub fn order(self, a: &Cost, b: &Cost) -> Ordering {
        let first = (a.unsolved, a.unkept).cmp(&(b.unsolved, b.unkept));
        let lost = a.lost.cmp(&b.lost);
        let patched = a.patched.cmp(&b.patched);
        let metal = a.metal.cmp(&b.metal);
        let money = (a.unpriced, a.money).cmp(&(b.unpriced, b.money));
        let days = (a.undated, a.days).cmp(&(b.undated, b.days));
        first.then(match self {
            Self::UsualOrder => lost.then(patched).then(metal).then(money).then(days),
            Self::LeastMetal => lost.then(metal).then(patched).then(money).then(days),
            Self::LeastCost => money.then(lost).then(patched).then(metal).then(days),
            Self::Soonest => days.then(money).then(lost).then(patched).then(metal),
        })
    }
}
