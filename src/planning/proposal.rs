//! What is proposed: the plan that serves the wishes, and those a rebuilder would weigh against it.

use crate::facts::{Money, PriceList, SizeWord};
use crate::judgement::Judgement;
use crate::planning::effects::{Cut, CutTo, Effect, What, effects};
use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::need::Need;
use crate::planning::readings::Readings;
use crate::planning::search::{Aim, Cost, TooMany, Way, front};
use crate::planning::walls::walls;
use crate::planning::ways::{beside, build};
use crate::shop::{Job, SurfaceKey};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

/// More than these nobody weighs.
const MOST_ALTERNATIVES: usize = 3;

/// So many are asked for one whose cuts break no limit elsewhere.
const MOST_LOOKED_AT: usize = 40;

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

/// Proposes; `None` of a job without a sheet, and of an engine that is together or set aside. With too much to search
/// nothing is proposed.
#[must_use]
pub fn propose(job: &Job, judgement: &Judgement, list: Option<&PriceList>) -> Option<Proposal> {
    if job.is_together_or_aside() {
        return None;
    }
    let readings = Readings::of(job, judgement);
    let built = build(&readings, judgement, list)?;
    let found = match front(&built.ways) {
        Ok(found) => found,
        Err(TooMany) => {
            return Some(Proposal { alternatives: Vec::new(), needs: built.needs, wishes: Vec::new() });
        }
    };
    let wishes = Wished::of(job);
    let weigh = Weigh { readings: &readings, judgement, lines: &built.lines, known: RefCell::default() };
    let mut picked: Vec<Picked<'_>> = Vec::new();
    if let Some(way) = weigh.first_that_holds(wishes.in_order(&found)) {
        picked.push(Picked { way, serves: Vec::new(), wished: wishes.any() });
    }
    for aim in Aim::ALL {
        let best = weigh.first_that_holds(without_wishes(&found, aim));
        let Some(way) = best.filter(|way| aim.is_known_of(&way.cost)) else { continue };
        match picked.iter_mut().find(|known| known.way == way) {
            Some(known) => known.serves.push(aim),
            None => picked.push(Picked { way, serves: vec![aim], wished: false }),
        }
    }
    picked.truncate(MOST_ALTERNATIVES);
    let best_by_aim = weigh.first_that_holds(without_wishes(&found, wishes.aim));
    let told = picked.first().map_or_else(Vec::new, |first| {
        wishes.told(&first.way.cost, best_by_aim.is_some_and(|best| best == first.way))
    });
    let alternative = |picked: &Picked<'_>| Alternative {
        serves: picked.serves.clone(),
        wished: picked.wished,
        lines: weigh.lines_of(picked.way).cloned().collect(),
        cost: picked.way.cost,
        effects: weigh.effects(picked.way).to_vec(),
    };
    let alternatives = picked.iter().map(alternative).collect();
    Some(Proposal { alternatives, needs: built.needs, wishes: told })
}

/// What a way moves elsewhere is looked at once it is among the best, and once: that is what costs time.
struct Weigh<'a> {
    readings: &'a Readings<'a>,
    judgement: &'a Judgement,
    lines: &'a [PlanLine],
    known: RefCell<BTreeMap<Vec<usize>, Rc<Vec<Effect>>>>,
}

impl Weigh<'_> {
    fn lines_of(&self, way: &Way) -> impl Iterator<Item = &PlanLine> {
        way.lines.iter().filter_map(|line| self.lines.get(*line))
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

    /// The first whose cuts break no limit elsewhere; where all do, the first, and its page says what breaks.
    fn first_that_holds<'w>(&self, in_order: Vec<&'w Way>) -> Option<&'w Way> {
        let holds = |way: &&&Way| !self.effects(way).iter().any(|effect| effect.inside == Some(false));
        let best = in_order.first().copied();
        in_order.iter().take(MOST_LOOKED_AT).find(holds).copied().or(best)
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

struct Picked<'a> {
    way: &'a Way,
    serves: Vec<Aim>,
    wished: bool,
}

/// By an aim alone, whatever was wished, the best first.
fn without_wishes(found: &[Way], aim: Aim) -> Vec<&Way> {
    let bare = |way: &Way| Cost { unkept: 0, ..way.cost };
    let mut all: Vec<&Way> = found.iter().collect();
    all.sort_by(|a, b| aim.order(&bare(a), &bare(b)).then_with(|| a.lines.cmp(&b.lines)));
    all
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
        let best = without_wishes(found, self.aim).into_iter().next();
        let is_known = best.is_some_and(|best| self.aim.is_known_of(&best.cost));
        if is_known { self.aim } else { Aim::UsualOrder }
    }

    fn any(&self) -> bool {
        self.asked_aim || self.ceiling.is_some() || self.standard_bore
    }

    /// By the aim, the best first; what stays below the ceiling before what does not.
    fn in_order<'w>(&self, found: &'w [Way]) -> Vec<&'w Way> {
        let is_dear =
            |way: &Way| self.ceiling.is_some_and(|ceiling| way.cost.unpriced > 0 || ceiling < way.cost.money);
        let aim = self.aim_of(found);
        let mut all: Vec<&Way> = found.iter().collect();
        all.sort_by(|a, b| {
            let first = a.cost.unsolved.cmp(&b.cost.unsolved).then(is_dear(a).cmp(&is_dear(b)));
            first.then(aim.order(&a.cost, &b.cost)).then_with(|| a.lines.cmp(&b.lines))
        });
        all
    }

    /// `is_best`: no other plan serves the aim better, whatever else was wished.
    fn told(&self, best: &Cost, is_best: bool) -> Vec<Wish> {
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
            let kept = best.money <= ceiling && !unpriced;
            let words = if kept {
                format!("the ceiling is kept: {} of at most {ceiling}", best.money)
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
