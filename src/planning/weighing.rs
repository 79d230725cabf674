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

/// The one that serves the wishes first.
pub(super) fn pick(weigh: &Weigh<'_>, wishes: &Wished, found: &[Way]) -> Vec<Picked> {
    let mut picked: Vec<Picked> = Vec::new();
    let wished = (wishes.aim_of(found), wishes.standard_bore);
    if let Some(way) = weigh.first_that_holds(found, wished, &wishes.order(found)) {
        picked.push(Picked { way, serves: Vec::new(), wished: wishes.any(), keeps_bore: false });
    }
    for aim in Aim::ALL {
        let Some(way) = weigh.best_by(aim, found).filter(|way| aim.is_known_of(&way.cost)) else { continue };
        match picked.iter_mut().find(|known| known.way == way) {
            Some(known) => known.serves.push(aim),
            None => picked.push(Picked { way, serves: vec![aim], wished: false, keeps_bore: false }),
        }
    }
    picked.truncate(MOST_ALTERNATIVES);
    let kept = weigh.first_that_holds(found, (Aim::UsualOrder, true), &|a, b| Aim::UsualOrder.order(a, b));
    let usual = weigh.best_by(Aim::UsualOrder, found);
    // Where nobody wished for it, it is weighed too, as long as nothing is given up for it.
    let weighed = |way: &Way| {
        let as_good =
            |usual: &Way| (usual.cost.unsolved, usual.cost.lost) == (way.cost.unsolved, way.cost.lost);
        way.cost.unkept == 0 && usual.as_ref().is_some_and(as_good)
    };
    if let Some(way) = kept.filter(weighed)
        && picked.iter().all(|known| known.way.cost.unkept > 0)
    {
        picked.truncate(MOST_ALTERNATIVES - 1);
        picked.push(Picked { way, serves: Vec::new(), wished: false, keeps_bore: true });
    }
    // It is worth a word only where the others do not.
    let differ = picked.iter().any(|known| known.way.cost.unkept > 0);
    for known in &mut picked {
        known.keeps_bore = differ && known.way.cost.unkept == 0;
    }
    picked
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
    pub(super) fn best_by(&self, aim: Aim, found: &[Way]) -> Option<Way> {
        self.first_that_holds(found, (aim, false), &|a, b| aim.order(&bare(a), &bare(b)))
    }

    /// The best whose cuts break no limit elsewhere; where all do, the best, and its page says what breaks.
    pub(super) fn first_that_holds(
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
