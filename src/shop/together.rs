//! Going together: joints tightened stage by stage, checks answered.

use crate::facts::{Assembly, Body, CheckMade, CheckResult, Fact, HouseRules, PartEvent, PartState, Torque};
use crate::sheets::{Fasteners, Sheet, fold_name, same_name};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::places::{PartPlace, carried_by, part_places, places_of_part, position_of};
use crate::shop::said::Said;
use crate::shop::shop_wide::Shop;
use crate::shop::wrenches::WrenchNow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What is known of the tightening of one fastener group.
#[derive(Clone, Debug, Default)]
pub struct Joint {
    /// The group, as the sheet writes it.
    pub group: String,
    /// Every entry in recorded order.
    pub entries: Vec<Tightened>,
}

/// One entry of a tightening.
#[derive(Clone, Debug)]
pub struct Tightened {
    /// Who did it.
    pub said: Said,
    /// Bolt places; empty for all.
    pub places: Vec<String>,
    /// Stages, counted from 1; empty for all.
    pub stages: Vec<usize>,
    /// As it was.
    pub lubricant: String,
    /// Mark of the wrench.
    pub wrench: String,
    /// The wrench as it was.
    pub wrench_now: WrenchNow,
    /// New or used bolts.
    pub bolts: PartState,
    /// Final torque or angle as read.
    pub final_reading: String,
    /// The joint was let go before it: what was seen of its bolts then.
    pub slackened: String,
    /// Bolt places, folded, that were loosened since, an empty one where the group names none; and how many entries the joint
    /// had by then.
    pub loosened: BTreeMap<String, usize>,
}

impl Tightened {
    /// Was this bolt place tightened by it? Empty where the group names none.
    #[must_use]
    pub fn is_at(&self, place: &str) -> bool {
        self.places.is_empty() || self.places.iter().any(|known| same_name(known, place))
    }

    /// Does it speak for a stage at a bolt place, empty where the group names none, as the joint is now?
    #[must_use]
    pub fn speaks(&self, stage: usize, place: &str) -> bool {
        let of_stage = self.stages.is_empty() || self.stages.contains(&stage);
        of_stage && self.is_at(place) && !self.loosened.contains_key(&fold_name(place))
    }
}

impl Joint {
    /// The entry that speaks for each stage at a bolt place, empty where the group names none, as the joint is now: the
    /// last of that stage. A stage counts when the one before it was done before it.
    #[must_use]
    pub fn by_stage(&self, fasteners: &Fasteners, place: &str) -> Vec<Option<&Tightened>> {
        let mut spoke = vec![None; fasteners.stage_count().max(1)];
        for entry in &self.entries {
            for stage in 1..=spoke.len() {
                let follows = stage == 1 || spoke.get(stage - 2).is_some_and(Option::is_some);
                if let Some(known) =
                    spoke.get_mut(stage - 1).filter(|_| follows && entry.speaks(stage, place))
                {
                    *known = Some(entry);
                }
            }
        }
        spoke
    }

    /// Tightened once more where it was tightened past yield and not loosened since: the entry that did it.
    #[must_use]
    pub fn again(&self, fasteners: &Fasteners, place: &str) -> Option<&Tightened> {
        let last = fasteners.stage_count().max(1);
        let yields = if fasteners.angles.is_empty() { last } else { last - fasteners.angles.len() + 1 };
        let mut reached = 0;
        for entry in &self.entries {
            let stages: Vec<usize> = (1..=last).filter(|stage| entry.speaks(*stage, place)).collect();
            let (Some(first), Some(most)) = (stages.first(), stages.last()) else { continue };
            if reached >= yields && *first <= reached {
                return Some(entry);
            }
            reached = reached.max(*most);
        }
        None
    }

    /// Used bolts were tightened and not let go since: the entry, with its bolt places. What is written later of the same bolts
    /// makes them no newer.
    #[must_use]
    pub fn used<'a>(&'a self, fasteners: &'a Fasteners) -> Option<(&'a Tightened, BTreeSet<&'a str>)> {
        let last = fasteners.stage_count().max(1);
        let used = self.entries.iter().filter(|entry| entry.bolts == PartState::Used);
        used.map(|entry| {
            let speaks = |place: &&str| (1..=last).any(|stage| entry.speaks(stage, place));
            (entry, fasteners.bolt_places().into_iter().filter(speaks).collect::<BTreeSet<_>>())
        })
        .find(|(_, places)| !places.is_empty())
    }

    /// Stages that some bolt place has not had, with those places; places are empty where the sheet names none.
    #[must_use]
    pub fn missing(&self, fasteners: &Fasteners) -> Vec<(usize, Vec<String>)> {
        let named: Vec<&String> = fasteners.sizes.iter().flat_map(|size| &size.places).collect();
        let last = fasteners.stage_count().max(1);
        let had = |stage: usize, place: Option<&String>| {
            let spoke = self.by_stage(fasteners, place.map_or("", String::as_str));
            spoke.get(stage - 1).is_some_and(Option::is_some)
        };
        (1..=last)
            .filter_map(|stage| {
                if named.is_empty() {
                    return (!had(stage, None)).then(|| (stage, Vec::new()));
                }
                let without: Vec<String> = named
                    .iter()
                    .filter(|place| !had(stage, Some(**place)))
                    .map(|place| (*place).clone())
                    .collect();
                (!without.is_empty()).then_some((stage, without))
            })
            .collect()
    }

    /// The entry that went too far at a bolt place, which is so until the joint was let go there and other bolts went in, or
    /// somebody said what was seen of these. What is written later of a tight joint makes its bolts no shorter.
    #[must_use]
    pub fn strained(
        &self,
        fasteners: &Fasteners,
        place: &str,
        is_past: impl Fn(&Tightened) -> bool,
    ) -> Option<&Tightened> {
        let new_only = fasteners.single_use || !fasteners.angles.is_empty();
        let mut strained: Option<&Tightened> = None;
        for (number, entry) in self.entries.iter().enumerate().filter(|(_, entry)| entry.is_at(place)) {
            let let_go =
                |past: &Tightened| past.loosened.get(&fold_name(place)).is_some_and(|at| *at <= number);
            let looked = !denies(&entry.slackened);
            let good = entry.bolts == PartState::New || (!new_only && looked);
            strained = strained.filter(|past| !(good && let_go(past)));
            if is_past(entry) {
                strained = Some(entry);
            }
        }
        strained
    }

    /// These places are tight no more; the first time they were let go counts.
    fn let_go(&mut self, places: &BTreeSet<String>) {
        let known = self.entries.len();
        for entry in &mut self.entries {
            for place in places {
                entry.loosened.entry(place.clone()).or_insert(known);
            }
        }
    }

    /// Who tightened it.
    #[must_use]
    pub fn hands(&self) -> BTreeSet<&str> {
        self.entries.iter().map(|entry| entry.said.who.as_str()).collect()
    }
}

/// The answer to a check of the sheet.
#[derive(Clone, Debug)]
pub struct CheckNow {
    /// Who answered.
    pub said: Said,
    /// The answer.
    pub result: CheckResult,
    /// What was read.
    pub value: String,
    /// Why not.
    pub why: String,
}

/// Joints and checks of a job, by folded name.
#[derive(Default)]
pub(super) struct Together {
    pub(super) joints: BTreeMap<String, Joint>,
    pub(super) checks: BTreeMap<String, Vec<CheckNow>>,
    pub(super) held: Vec<Held>,
}

impl Together {
    /// From a job's standing facts in recorded order.
    pub(super) fn of(sheet: &Sheet, shop: (&Shop, Option<&HouseRules>), facts: &[&Arc<Fact>]) -> Self {
        let mut together = Self::default();
        for fact in facts {
            if let Body::Part(body) = &fact.body
                && body.event.loosens()
            {
                let mut places = part_places(sheet, body).unwrap_or_default();
                if body.event == PartEvent::Replaced {
                    places.extend(carried_by(sheet, &places));
                }
                together.loosened(sheet, &places);
            }
            if let Body::Assembly(Assembly { fitted, torque, checks, .. }) = &fact.body {
                for fitted in fitted {
                    let places = places_of_part(sheet, &fitted.part, &fitted.positions);
                    together.loosened(sheet, &places.unwrap_or_default());
                }
                torque.iter().for_each(|torque| together.tightened(sheet, shop, fact, torque));
                checks.iter().for_each(|made| together.checked(sheet, fact, made));
            }
        }
        together
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    /// These parts came off or went in: what was tightened before at the bolts that hold them is tight no more.
    fn loosened(&mut self, sheet: &Sheet, parts: &[PartPlace]) {
        for place in parts {
            for group in sheet.fasteners.iter().filter(|group| group.holds.contains(&place.0)) {
                let Some(joint) = self.joints.get_mut(&fold_name(&group.group)) else { continue };
                joint.let_go(&bolts_of(group, position_of(sheet, *place)));
            }
        }
    }

    fn tightened(&mut self, sheet: &Sheet, shop: (&Shop, Option<&HouseRules>), fact: &Fact, torque: &Torque) {
        let Some(fasteners) = sheet.fasteners(&torque.group) else {
            return self.hold(
                fact,
                &torque.group,
                HeldWhy::NoSuchPlace(format!("fastener group {}", torque.group)),
            );
        };
        let known =
            |place: &&String| fasteners.sizes.iter().flat_map(|s| &s.places).any(|p| same_name(p, place));
        if let Some(place) = torque.places.iter().find(|place| !known(place)) {
            return self.hold(
                fact,
                &torque.group,
                HeldWhy::NoSuchPlace(format!("bolt place {place} in {}", fasteners.group)),
            );
        }
        if let Some(stage) = torque.stages.iter().find(|stage| **stage > fasteners.stage_count().max(1)) {
            return self.hold(
                fact,
                &torque.group,
                HeldWhy::NoSuchPlace(format!("stage {stage} in {}", fasteners.group)),
            );
        }
        let wrench_now = WrenchNow::of(shop.0, shop.1, fact, &torque.wrench);
        let joint = self.joints.entry(fold_name(&fasteners.group)).or_default();
        joint.group.clone_from(&fasteners.group);
        if !denies(&torque.slackened) {
            joint.let_go(&folded(fasteners, |place| {
                torque.places.is_empty() || torque.places.iter().any(|known| same_name(known, place))
            }));
        }
        joint.entries.push(Tightened {
            said: Said::by(fact),
            places: torque.places.clone(),
            stages: torque.stages.clone(),
            lubricant: torque.lubricant.clone(),
            wrench: torque.wrench.clone(),
            wrench_now,
            bolts: torque.bolts,
            final_reading: torque.final_reading.clone(),
            slackened: torque.slackened.clone(),
            loosened: BTreeMap::new(),
        });
    }

    fn checked(&mut self, sheet: &Sheet, fact: &Fact, made: &CheckMade) {
        let Some(check) = sheet.check(&made.check) else {
            return self.hold(fact, &made.check, HeldWhy::NoSuchPlace(format!("check {}", made.check)));
        };
        let now = CheckNow {
            said: Said::by(fact),
            result: made.result,
            value: made.value.clone(),
            why: made.why.clone(),
        };
        self.checks.entry(fold_name(&check.key)).or_default().push(now);
    }
}

/// The folded places of the bolts that hold a part at a position: those named after it (`3 cam`), all where none is.
pub fn bolts_of(group: &Fasteners, position: Option<&str>) -> BTreeSet<String> {
    let named_after = |place: &str| {
        let first = place.split(' ').next().unwrap_or(place);
        position.is_some_and(|position| same_name(first, position) || same_name(place, position))
    };
    let any = group.sizes.iter().flat_map(|size| &size.places).any(|place| named_after(place));
    folded(group, |place| !any || named_after(place))
}

/// Nothing was said, or that it was not so.
fn denies(words: &str) -> bool {
    let words = fold_name(words);
    let words = words.trim_matches(|c: char| !c.is_alphanumeric());
    words.is_empty() || ["no", "none", "not", "never", "n a"].contains(&words) || words.starts_with("not ")
}

/// The folded places of a group that are meant; where it names none, its one place, which has no name.
fn folded(group: &Fasteners, is_meant: impl Fn(&str) -> bool) -> BTreeSet<String> {
    let mut named = group.sizes.iter().flat_map(|size| &size.places).peekable();
    if named.peek().is_none() {
        return BTreeSet::from([String::new()]);
    }
    named.filter(|place| is_meant(place)).map(|place| fold_name(place)).collect()
}
