//! Which ways are shown: the one that serves the wishes, and the best by each aim, none of which breaks a limit elsewhere
//! where that can be avoided.

use crate::facts::SizeWord;
use crate::judgement::Judgement;
use crate::planning::effects::{Cut, Effect, What, effects};
use crate::planning::holding::best_that_holds;
use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::proposal::Alternative;
use crate::planning::readings::Readings;
use crate::planning::search::{Aim, Cost, Way};
use crate::planning::walls::walls;
use crate::planning::ways::Built;
use crate::planning::wished::Wished;
use std::cell::RefCell;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::rc::Rc;

/// More than these nobody weighs.
const MOST_ALTERNATIVES: usize = 3;

/// A way that is shown, and why.
pub(super) struct Picked {
    pub(super) way: Way,
    serves: Vec<Aim>,
    wished: bool,
    keeps_bore: bool,
}

/// What is shown, and what is known of it.
pub(super) struct Choice {
    /// The one that serves the wishes first.
    pub(super) picked: Vec<Picked>,
    /// No other way serves the aim of the wishes better than the first, whatever else was wished.
    pub(super) first_is_best: bool,
}

pub(super) fn pick(weigh: &Weigh<'_>, wishes: &Wished, found: &[Way]) -> Choice {
    let by_aim: Vec<(Aim, Way)> =
        Aim::ALL.into_iter().filter_map(|aim| Some((aim, weigh.best_by(aim, found)?))).collect();
    let best = |wanted: Aim| by_aim.iter().find(|(aim, _)| *aim == wanted).map(|(_, way)| way);
    let mut picked: Vec<Picked> = Vec::new();
    let wished = (wishes.aim_of(found), wishes.standard_bore);
    if let Some(way) = weigh.first_that_holds(found, wished, &wishes.order(found)) {
        picked.push(Picked { way, serves: Vec::new(), wished: wishes.any(), keeps_bore: false });
    }
    let first_is_best = picked.first().is_some_and(|first| best(wishes.aim) == Some(&first.way));
    for (aim, way) in by_aim.iter().filter(|(aim, way)| aim.is_known_of(&way.cost)) {
        match picked.iter_mut().find(|known| known.way == *way) {
            Some(known) => known.serves.push(*aim),
            None => {
                let (way, serves) = (way.clone(), vec![*aim]);
                picked.push(Picked { way, serves, wished: false, keeps_bore: false });
            }
        }
    }
    picked.truncate(MOST_ALTERNATIVES);
    if picked.iter().all(|known| known.way.cost.unkept > 0)
        && let Some(usual) = best(Aim::UsualOrder)
        && let Some(way) = weigh.keeping_the_bore(found, usual)
    {
        picked.truncate(MOST_ALTERNATIVES - 1);
        picked.push(Picked { way, serves: Vec::new(), wished: false, keeps_bore: true });
    }
    // It is worth a word only where the others do not.
    let differ = picked.iter().any(|known| known.way.cost.unkept > 0);
    for known in &mut picked {
        known.keeps_bore = differ && known.way.cost.unkept == 0;
    }
    Choice { picked, first_is_best }
}

/// Whatever was wished.
pub(super) fn bare(cost: &Cost) -> Cost {
    Cost { unkept: 0, ..*cost }
}

/// What a way moves elsewhere is looked at once it is among the best, and once: that is what costs time.
pub(super) struct Weigh<'a> {
    pub(super) readings: &'a Readings<'a>,
    pub(super) judgement: &'a Judgement,
    pub(super) built: &'a Built,
    pub(super) known: RefCell<BTreeMap<Vec<usize>, Rc<Vec<Effect>>>>,
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
        let cuts: Vec<Cut> = self.lines_of(way).filter_map(|line| line.cut(job)).collect();
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

    /// The best by an aim alone, whatever was wished.
    fn best_by(&self, aim: Aim, found: &[Way]) -> Option<Way> {
        self.first_that_holds(found, (aim, false), &|a, b| aim.order(&bare(a), &bare(b)))
    }

    /// The standard bore kept, where nobody wished for it, as long as nothing more is given up or left open for it.
    fn keeping_the_bore(&self, found: &[Way], usual: &Way) -> Option<Way> {
        let order = |a: &Cost, b: &Cost| Aim::UsualOrder.order(a, b);
        let way = self.first_that_holds(found, (Aim::UsualOrder, true), &order)?;
        let as_good = (usual.cost.unsolved, usual.cost.lost) == (way.cost.unsolved, way.cost.lost);
        (way.cost.unkept == 0 && as_good).then_some(way)
    }

    /// The best whose cuts break no limit elsewhere; where all do, the best, and its page says what breaks.
    fn first_that_holds(
        &self,
        found: &[Way],
        aim: (Aim, bool),
        order: &impl Fn(&Cost, &Cost) -> Ordering,
    ) -> Option<Way> {
        let mut in_order: Vec<&Way> = found.iter().collect();
        in_order.sort_by(|a, b| order(&a.cost, &b.cost).then_with(|| a.lines.cmp(&b.lines)));
        let best = in_order.first().copied()?;
        if self.holds(best) {
            return Some(best.clone());
        }
        let cuts = |way: &Way| {
            let cuts = |line: &&usize| {
                let line = self.built.lines.get(**line);
                line.is_some_and(|line| line.cut(self.readings.job).is_some())
            };
            way.lines.iter().filter(cuts).copied().collect()
        };
        let held = best_that_holds(&self.built.ways, aim, order, &|way| self.holds(way), &cuts);
        Some(held.unwrap_or_else(|| best.clone()))
    }

    pub(super) fn alternative(&self, picked: Picked) -> Alternative {
        Alternative {
            lines: self.lines_of(&picked.way).cloned().collect(),
            cost: picked.way.cost,
            effects: self.effects(&picked.way).to_vec(),
            serves: picked.serves,
            wished: picked.wished,
            keeps_bore: picked.keeps_bore,
        }
    }
}
