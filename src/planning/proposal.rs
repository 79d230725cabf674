//! What is proposed: the plan that serves the wishes, and those a rebuilder would weigh against it.

use crate::facts::PriceList;
use crate::judgement::Judgement;
use crate::planning::at_size::Refused;
use crate::planning::best::best;
use crate::planning::effects::Effect;
use crate::planning::line::{Deed, PlanLine};
use crate::planning::need::Need;
use crate::planning::readings::Readings;
use crate::planning::search::{Aim, Cost, TooMany, front};
use crate::planning::ways::{Built, build};
use crate::planning::weighing::{Choice, Weigh, pick};
use crate::planning::wished::{Seen, Wished};
use crate::shop::{Job, SurfaceKey};
use std::cell::RefCell;
use std::collections::BTreeMap;

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
    /// It keeps the standard bore, and others that are shown do not.
    pub keeps_bore: bool,
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

    /// Work is done in it, a part is mended or given up, or nothing helps.
    #[must_use]
    pub fn changes_anything(&self) -> bool {
        let mends = self.lines.iter().any(|line| matches!(line.deed, Deed::Mend { .. }));
        self.has_work() || mends || self.cost.lost > 0 || self.cost.unsolved > 0
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
        Err(TooMany) => {
            let all = Aim::ALL.into_iter().flat_map(|aim| [(aim, false), (aim, true)]);
            (all.filter_map(|(aim, keeping)| best(&built.ways, aim, keeping)).collect(), false)
        }
    };
    let wishes = Wished::of(job);
    let weigh = Weigh { readings: &readings, judgement, built: &built, known: RefCell::default() };
    let Choice { picked, first_is_best } = pick(&weigh, &wishes, &found);
    let told = picked.first().map_or_else(Vec::new, |first| {
        let seen = Seen::of(job, list, &built, first_is_best, weighed);
        wishes.told(&first.way.cost, &seen)
    });
    let alternatives = picked.into_iter().map(|picked| weigh.alternative(picked)).collect();
    let Built { needs, refused, open, .. } = built;
    Some(Proposal { alternatives, needs, wishes: told, refused, open, weighed })
}
