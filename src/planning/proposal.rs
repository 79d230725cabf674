//! What is proposed: the plan that serves the wishes, and those a rebuilder would weigh against it.

use crate::facts::{Money, PriceList, SizeWord};
use crate::judgement::Judgement;
use crate::planning::at_size::Refused;
use crate::planning::best::best;
use crate::planning::effects::{Cut, CutTo, Effect, What, effects};
use crate::planning::holding::best_that_holds;
use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::need::Need;
use crate::planning::readings::Readings;
use crate::planning::search::{Aim, Cost, TooMany, Way, front};
use crate::planning::walls::walls;
use crate::planning::ways::{Built, beside, build};
use crate::shop::{Job, SurfaceKey};
use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::rc::Rc;

/// More than these nobody weighs.
const MOST_ALTERNATIVES: usize = 3;

/// What is proposed for an engine.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// The one that serves the wishes first.
    pub alternatives: Vec<Alternative>,
    /// What each measured surface of a group needs.
    pub needs: BTreeMap<SurfaceKey, Need>,
    /// What the customer wished, and whether it can be kept.
    pub wishes: Vec<Wish>,
    /// Sizes that groups do not come to by themselves, and why.
    pub refused: Vec<Refused>,
    /// Groups that nobody has measured yet: what they need is in no plan.
    pub open: Vec<String>,
    /// Every combination was weighed; else there were too many, each alternative is the best by its aim, and no ceiling
    /// was looked for.
    pub weighed: bool,
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
    /// What its cuts move elsewhere in the engine.
    pub effects: Vec<Effect>,
}

impl Alternative {
    /// Some surface is worked on.
    #[must_use]
    pub fn has_work(&self) -> bool {
        self.lines.iter().any(|line| matches!(line.deed, Deed::Work { .. }))
    }

    /// Work is done or a part is given up in it, or nothing helps.
    #[must_use]
    pub fn changes_anything(&self) -> bool {
        self.has_work() || self.cost.lost > 0 || self.cost.unsolved > 0
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

/// Proposes; `None` of a job without a sheet, and of an engine that is together or set aside.
#[must_use]
pub fn propose(job: &Job, judgement: &Judgement, list: Option<&PriceList>) -> Option<Proposal> {
    if job.is_together_or_aside() {
        return None;
    }
    let readings = Readings::of(job, judgement);
    let built = build(&readings, judgement, list)?;
    // With too much to weigh in all its combinations, the best by each aim is still known.
    let (found, weighed) = match front(&built.ways) {
        Ok(found) => (found, true),
        Err(TooMany) => (Aim::ALL.into_iter().filter_map(|aim| best(&built.ways, aim)).collect(), false),
    };
    let wishes = Wished::of(job);
    let weigh = Weigh { readings: &readings, judgement, built: &built, known: RefCell::default() };
    let picked = pick(&weigh, &wishes, &found);
    let best_by_aim = weigh.first_that_holds(&found, &|a, b| wishes.aim.order(&bare(a), &bare(b)));
    let told = picked.first().map_or_else(Vec::new, |first| {
        wishes.told(&first.way.cost, built.open.is_empty(), best_by_aim.is_some_and(|best| best == first.way))
    });
    let alternatives = picked.into_iter().map(|picked| weigh.alternative(picked)).collect();
    let Built { needs, refused, open, .. } = built;
    Some(Proposal { alternatives, needs, wishes: told, refused, open, weighed })
}

fn pick(weigh: &Weigh<'_>, wishes: &Wished, found: &[Way]) -> Vec<Picked> {
    let mut picked: Vec<Picked> = Vec::new();
    if let Some(way) = weigh.first_that_holds(found, &wishes.order(found)) {
        picked.push(Picked { way, serves: Vec::new(), wished: wishes.any() });
    }
    for aim in Aim::ALL {
        let best = weigh.first_that_holds(found, &|a, b| aim.order(&bare(a), &bare(b)));
        let Some(way) = best.filter(|way| aim.is_known_of(&way.cost)) else { continue };
        match picked.iter_mut().find(|known| known.way == way) {
            Some(known) => known.serves.push(aim),
            None => picked.push(Picked { way, serves: vec![aim], wished: false }),
        }
    }
    picked.truncate(MOST_ALTERNATIVES);
    picked
}

/// Whatever was wished.
fn bare(cost: &Cost) -> Cost {
    Cost { unkept: 0, ..*cost }
}

/// What a way moves elsewhere is looked at once it is among the best, and once: that is what costs time.
struct Weigh<'a> {
    readings: &'a Readings<'a>,
    judgement: &'a Judgement,
    built: &'a Built,
    known: RefCell<BTreeMap<Vec<usize>, Rc<Vec<Effect>>>>,
}

impl Weigh<'_> {
    fn lines_of(&self, way: &Way) -> impl Iterator<Item = &PlanLine> {
        way.lines.iter().filter_map(|line| self.built.lines.get(*line))
    }

    fn effects(&self, way: &Way) -> Rc<Vec<Effect>> {
        if let Some(known) = self.known.borrow().get(&way.lines) {
            return Rc::clone(known);
        }
        let found = Rc::new(self.effects_of(way));
        self.known.borrow_mut().insert(way.lines.clone(), Rc::clone(&found));
        found
    }

    fn effects_of(&self, way: &Way) -> Vec<Effect> {
        let job = self.readings.job;
        let cuts: Vec<Cut> = self.lines_of(way).filter_map(|line| cut_of(job, line)).collect();
        if cuts.is_empty() {
            return Vec::new();
        }
        let renewed: Vec<String> = self.lines_of(way).flat_map(|line| self.renewed_walls(line)).collect();
        let mut found = effects(job, self.judgement, &cuts);
        found.retain(|effect| effect.what != What::Wall || !renewed.contains(&effect.position));
        found
    }

    /// A sleeve brings its own wall: what was measured beside the hole does not speak for it.
    fn renewed_walls(&self, line: &PlanLine) -> Vec<String> {
        let sheet = self.readings.job.sheet.as_deref();
        let (Deed::Work { surface, how: How::BuiltUp, .. }, Some(sheet)) = (&line.deed, sheet) else {
            return Vec::new();
        };
        let beside = walls(self.readings, sheet, *surface, SizeWord::Standard, None);
        beside.into_iter().map(|wall| wall.name).collect()
    }

    fn holds(&self, way: &Way) -> bool {
        !self.effects(way).iter().any(|effect| effect.inside == Some(false))
    }

    /// The best whose cuts break no limit elsewhere; where all do, the best, and its page says what breaks.
    fn first_that_holds(&self, found: &[Way], order: &impl Fn(&Cost, &Cost) -> Ordering) -> Option<Way> {
        let mut in_order: Vec<&Way> = found.iter().collect();
        in_order.sort_by(|a, b| order(&a.cost, &b.cost).then_with(|| a.lines.cmp(&b.lines)));
        let best = in_order.first().copied()?;
        if self.holds(best) {
            return Some(best.clone());
        }
        let cuts = |way: &Way| {
            let cuts = |line: &&usize| {
                let line = self.built.lines.get(**line);
                line.is_some_and(|line| cut_of(self.readings.job, line).is_some())
            };
            way.lines.iter().filter(cuts).copied().collect()
        };
        let held = best_that_holds(&self.built.ways, order, &|way| self.holds(way), &cuts);
        Some(held.unwrap_or_else(|| best.clone()))
    }

    fn alternative(&self, picked: Picked) -> Alternative {
        Alternative {
            lines: self.lines_of(&picked.way).cloned().collect(),
            cost: picked.way.cost,
            effects: self.effects(&picked.way).to_vec(),
            serves: picked.serves,
            wished: picked.wished,
        }
    }
}

/// What a line cuts, as its effects are asked for.
fn cut_of(job: &Job, line: &PlanLine) -> Option<Cut> {
    let Deed::Work { surface, to, how, operation } = &line.deed else { return None };
    match (to, how) {
        (_, How::Cut(removed)) => {
            // A face is cut from what gets thinner by it.
            let sheet = job.sheet.as_deref()?;
            let remedies = &sheet.features.get(surface.feature)?.remedies;
            let from = remedies.iter().find(|remedy| remedy.operation == *operation)?.takes_from?;
            Some(Cut { surface: beside(sheet, *surface, from), to: CutTo::Removed(*removed) })
        }
        (Some(size), How::CleansUp | How::NotMeasured | How::BuiltUp) => {
            Some(Cut { surface: *surface, to: CutTo::Size(*size) })
        }
        (Some(_), How::Again | How::Otherwise) | (None, _) => None,
    }
}

struct Picked {
    way: Way,
    serves: Vec<Aim>,
    wished: bool,
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

    /// The aim that orders the plans: nobody knows what is cheap or quick where prices or times are missing.
    fn aim_of(&self, found: &[Way]) -> Aim {
        let best = found.iter().min_by(|a, b| self.aim.order(&bare(&a.cost), &bare(&b.cost)));
        let is_known = best.is_some_and(|best| self.aim.is_known_of(&best.cost));
        if is_known { self.aim } else { Aim::UsualOrder }
    }

    fn any(&self) -> bool {
        self.asked_aim || self.ceiling.is_some() || self.standard_bore
    }

    /// By the aim; what stays below the ceiling before what does not.
    fn order(&self, found: &[Way]) -> impl Fn(&Cost, &Cost) -> Ordering + use<> {
        let (ceiling, aim) = (self.ceiling, self.aim_of(found));
        let is_dear =
            move |cost: &Cost| ceiling.is_some_and(|ceiling| cost.unpriced > 0 || ceiling < cost.money);
        move |a: &Cost, b: &Cost| {
            let first = a.unsolved.cmp(&b.unsolved).then(is_dear(a).cmp(&is_dear(b)));
            first.then(aim.order(a, b))
        }
    }

    /// `is_whole`: everything was measured that a plan is made of. `is_best`: no other plan serves the aim better, whatever
    /// else was wished.
    fn told(&self, best: &Cost, is_whole: bool, is_best: bool) -> Vec<Wish> {
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
            let unpriced = best.unpriced > 0;
            let below = best.money <= ceiling;
            let kept = below && !unpriced && is_whole;
            let words = if kept {
                format!("the ceiling is kept: {} of at most {ceiling}", best.money)
            } else if below && !is_whole {
                format!(
                    "the ceiling is {ceiling}; so far it comes to {}, and not all is measured",
                    best.money
                )
            } else if unpriced {
                format!("the ceiling is {ceiling}; what has a price comes to {}", best.money)
            } else {
                format!("nothing costs less than the ceiling of {ceiling} and puts all right: {}", best.money)
            };
            told.push(Wish { what, kept, words });
        }
        told
    }
}
