//! What the customer wished, as far as it steers a plan, and whether a plan keeps it.

use crate::facts::{Money, PriceList};
use crate::planning::proposal::Wish;
use crate::planning::search::{Aim, Cost, Way};
use crate::planning::spent::{Spent, spent};
use crate::planning::ways::Built;
use crate::planning::weighing::bare;
use crate::shop::Job;
use std::cmp::Ordering;

/// What is known of the first plan beside its cost.
pub(super) struct Seen {
    /// Everything was measured that a plan is made of.
    pub(super) is_whole: bool,
    /// No other plan serves the aim better, whatever else was wished.
    pub(super) is_best: bool,
    /// Every combination was weighed.
    pub(super) weighed: bool,
    /// What was spent, once work has begun.
    pub(super) begun: Option<Spent>,
}

impl Seen {
    pub(super) fn of(
        job: &Job,
        list: Option<&PriceList>,
        built: &Built,
        is_best: bool,
        weighed: bool,
    ) -> Self {
        let begun = job.is_begun().then(|| spent(job, list));
        Self { is_whole: built.open.is_empty(), is_best, weighed, begun }
    }
}

/// What the customer wished, as far as it steers a plan.
pub(super) struct Wished {
    pub(super) aim: Aim,
    asked_aim: bool,
    ceiling: Option<Money>,
    pub(super) standard_bore: bool,
}

impl Wished {
    pub(super) fn of(job: &Job) -> Self {
        let wishes = job.check_in.as_ref().map(|check_in| &check_in.wishes);
        let asked = wishes.and_then(|wishes| Aim::from_word(wishes.aim.as_deref()?));
        Self {
            aim: asked.unwrap_or(Aim::UsualOrder),
            asked_aim: asked.is_some(),
            ceiling: wishes.and_then(|wishes| Money::written(wishes.ceiling.as_deref()?)),
            standard_bore: wishes.is_some_and(|wishes| wishes.keep_standard_bore),
        }
    }

    /// The aim that orders the plans: nobody knows what is cheap or quick where prices or times are missing.
    pub(super) fn aim_of(&self, found: &[Way]) -> Aim {
        let best = found.iter().min_by(|a, b| self.aim.order(&bare(&a.cost), &bare(&b.cost)));
        let is_known = best.is_some_and(|best| self.aim.is_known_of(&best.cost));
        if is_known { self.aim } else { Aim::UsualOrder }
    }

    pub(super) fn any(&self) -> bool {
        self.asked_aim || self.ceiling.is_some() || self.standard_bore
    }

    /// By the aim; what stays below the ceiling before what does not.
    pub(super) fn order(&self, found: &[Way]) -> impl Fn(&Cost, &Cost) -> Ordering + use<> {
        let (ceiling, aim, standard) = (self.ceiling, self.aim_of(found), self.standard_bore);
        let is_dear =
            move |cost: &Cost| ceiling.is_some_and(|ceiling| cost.unpriced > 0 || ceiling < cost.money);
        move |a: &Cost, b: &Cost| {
            let first = a.unsolved.cmp(&b.unsolved).then(is_dear(a).cmp(&is_dear(b)));
            first.then(if standard { aim.order(a, b) } else { aim.order(&bare(a), &bare(b)) })
        }
    }

    /// Each wish, and whether the first plan keeps it.
    pub(super) fn told(&self, best: &Cost, seen: &Seen) -> Vec<Wish> {
        let Seen { is_whole, is_best, weighed, begun } = *seen;
        let mut told = Vec::new();
        if self.asked_aim {
            let kept = self.aim.is_known_of(best);
            let words = match (kept, is_best) {
                (true, true) => format!("{}: no plan serves it better than the first", self.aim.word()),
                (true, false) => {
                    format!(
                        "{}: the first plan serves it best of those that keep the other wishes",
                        self.aim.word()
                    )
                }
                (false, _) => format!("{} cannot be told: prices or times are missing", self.aim.word()),
            };
            told.push(Wish { what: self.aim.word().to_owned(), kept, words });
        }
        if self.standard_bore {
            let kept = best.unkept == 0;
            let words = if kept { "the standard bore is kept" } else { "the standard bore cannot be kept" };
            told.push(Wish { what: "keep the standard bore".to_owned(), kept, words: words.to_owned() });
        }
        if let Some(ceiling) = self.ceiling {
            let what = format!("at most {ceiling}");
            let spent = begun.map_or(Money::NONE, |spent| spent.sum());
            let below = best.money + spent <= ceiling;
            let kept = below && best.unpriced == 0 && is_whole;
            let words = if let Some(spent) = begun {
                let (sum, left) = (spent.sum(), best.money);
                format!(
                    "the ceiling is {ceiling}: {sum} is spent, and at most {left} of what has a price is still to come"
                )
            } else if kept {
                format!("the ceiling is kept: {} of at most {ceiling}", best.money)
            } else if below && !is_whole {
                format!(
                    "the ceiling is {ceiling}; so far it comes to {}, and not all is measured",
                    best.money
                )
            } else if best.unpriced > 0 {
                format!("the ceiling is {ceiling}; what has a price comes to {}", best.money)
            } else if !weighed {
                format!(
                    "the ceiling is {ceiling}; this comes to {}, and what costs less was not searched for",
                    best.money
                )
            } else {
                format!("nothing costs less than the ceiling of {ceiling} and puts all right: {}", best.money)
            };
            told.push(Wish { what, kept, words });
        }
        told
    }
}
