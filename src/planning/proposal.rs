//! What is proposed: the plan that serves the wishes, and those a rebuilder would weigh against it.

use crate::facts::{Money, PriceList};
use crate::judgement::Judgement;
use crate::planning::line::PlanLine;
use crate::planning::need::Need;
use crate::planning::search::{Aim, Cost, TooMany, Way, front};
use crate::planning::ways::build;
use crate::shop::{Job, SurfaceKey};
use std::collections::BTreeMap;

/// More than these nobody weighs.
const MOST_ALTERNATIVES: usize = 3;

/// What is proposed for an engine.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// The one that serves the wishes first; none where there was too much to search.
    pub alternatives: Vec<Alternative>,
    /// What each measured surface of a group needs.
    pub needs: BTreeMap<SurfaceKey, Need>,
    /// What the customer wished, and whether it can be kept.
    pub wishes: Vec<Wish>,
}

/// One way to rebuild the whole engine.
#[derive(Clone, Debug)]
pub struct Alternative {
    /// The aims it serves better than the others shown, in their order.
    pub serves: Vec<Aim>,
    /// It serves what the customer wished.
    pub wished: bool,
    /// What is done and bought.
    pub lines: Vec<PlanLine>,
    /// What all of it costs.
    pub cost: Cost,
}

impl Alternative {
    /// Work is done or a part is given up in it.
    #[must_use]
    pub fn changes_anything(&self) -> bool {
        self.cost.metal != crate::metrology::Exact::ZERO
            || self.cost.lost > 0
            || self.cost.patched > 0
            || self.cost.unsolved > 0
            || self.lines.iter().any(|line| matches!(line.deed, crate::planning::Deed::Work { .. }))
    }
}

/// A wish of the check-in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// What was wished.
    pub what: String,
    /// It is kept.
    pub kept: bool,
    /// In a sentence.
    pub words: String,
}

/// Proposes; `None` of a job without a sheet. With too much to search nothing is proposed.
#[must_use]
pub fn propose(job: &Job, judgement: &Judgement, list: Option<&PriceList>) -> Option<Proposal> {
    let built = build(job, judgement, list)?;
    let found = match front(&built.ways) {
        Ok(found) => found,
        Err(TooMany) => {
            return Some(Proposal { alternatives: Vec::new(), needs: built.needs, wishes: Vec::new() });
        }
    };
    let wishes = Wished::of(job);
    let mut picked: Vec<Picked<'_>> = Vec::new();
    if let Some(way) = wishes.best(&found) {
        picked.push(Picked { way, serves: Vec::new(), wished: wishes.any() });
    }
    for aim in Aim::ALL {
        let Some(way) = without_wishes(&found, aim) else { continue };
        match picked.iter_mut().find(|known| known.way == way) {
            Some(known) => known.serves.push(aim),
            None => picked.push(Picked { way, serves: vec![aim], wished: false }),
        }
    }
    picked.truncate(MOST_ALTERNATIVES);
    let told = picked.first().map_or_else(Vec::new, |best| wishes.told(&best.way.cost));
    let alternative = |picked: &Picked<'_>| Alternative {
        serves: picked.serves.clone(),
        wished: picked.wished,
        lines: picked.way.lines.iter().filter_map(|line| built.lines.get(*line)).cloned().collect(),
        cost: picked.way.cost,
    };
    let alternatives = picked.iter().map(alternative).collect();
    Some(Proposal { alternatives, needs: built.needs, wishes: told })
}

struct Picked<'a> {
    way: &'a Way,
    serves: Vec<Aim>,
    wished: bool,
}

/// The best by an aim alone, whatever was wished.
fn without_wishes(found: &[Way], aim: Aim) -> Option<&Way> {
    let bare = |way: &Way| Cost { unkept: 0, ..way.cost };
    found.iter().min_by(|a, b| aim.order(&bare(a), &bare(b)).then_with(|| a.lines.cmp(&b.lines)))
}

/// What the customer wished, as far as it steers a plan.
struct Wished {
    aim: Aim,
    asked_aim: bool,
    ceiling: Option<Money>,
    standard_bore: bool,
}

impl Wished {
    fn of(job: &Job) -> Self {
        let wishes = job.check_in.as_ref().map(|check_in| &check_in.wishes);
        let asked = wishes.and_then(|wishes| Aim::from_word(wishes.aim.as_deref()?));
        Self {
            aim: asked.unwrap_or(Aim::UsualOrder),
            asked_aim: asked.is_some(),
            ceiling: wishes.and_then(|wishes| Money::written(wishes.ceiling.as_deref()?)),
            standard_bore: wishes.is_some_and(|wishes| wishes.keep_standard_bore),
        }
    }

    fn any(&self) -> bool {
        self.asked_aim || self.ceiling.is_some() || self.standard_bore
    }

    /// Below the ceiling where anything is, by the aim.
    fn best<'a>(&self, found: &'a [Way]) -> Option<&'a Way> {
        let least = found.iter().map(|way| way.cost.unsolved).min()?;
        let whole = || found.iter().filter(move |way| way.cost.unsolved == least);
        let affordable = self.ceiling.and_then(|ceiling| {
            self.aim.best(whole().filter(|way| way.cost.unpriced == 0 && way.cost.money <= ceiling))
        });
        affordable.or_else(|| self.aim.best(whole()))
    }

    fn told(&self, best: &Cost) -> Vec<Wish> {
        let mut told = Vec::new();
        if self.asked_aim {
            let words = format!("{}: the first plan serves it best of all there are", self.aim.word());
            told.push(Wish { what: self.aim.word().to_owned(), kept: true, words });
        }
        if self.standard_bore {
            let kept = best.unkept == 0;
            let words = if kept { "the standard bore is kept" } else { "the standard bore cannot be kept" };
            told.push(Wish { what: "keep the standard bore".to_owned(), kept, words: words.to_owned() });
        }
        if let Some(ceiling) = self.ceiling {
            let what = format!("at most {ceiling}");
            let unpriced = best.unpriced > 0;
            let kept = best.money <= ceiling && !unpriced;
            let words = if kept {
                format!("the ceiling is kept: {} of at most {ceiling}", best.money)
            } else if unpriced {
                format!("the ceiling is {ceiling}; what has a price comes to {}", best.money)
            } else {
                format!("nothing costs less than the ceiling of {ceiling}: {}", best.money)
            };
            told.push(Wish { what, kept, words });
        }
        told
    }
}
