//! One job, folded from its statements and the shop's.

use crate::facts::{Body, CheckIn, Digest, Fact, HouseRules, JobKey, Step};
use crate::sheets::{Feature, Sheet, fold_name, same_name};
use crate::shop::decisions::{Accepted, Agreed, Decisions, Signed};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::history::History;
use crate::shop::places::part_of;
use crate::shop::readings::{Ground, Readings, gauges_named};
use crate::shop::set::FactSet;
use crate::shop::shop_wide::Shop;
use crate::shop::surfaces::{Surface, SurfaceKey};
use crate::shop::void;
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A job, folded.
#[derive(Clone, Debug)]
pub struct Job {
    /// Its key.
    pub key: JobKey,
    /// Its number as the check-in writes it, else as first written.
    pub written: String,
    /// Its check-in, when one stands.
    pub check_in: Option<CheckIn>,
    /// When it was checked in, as written.
    pub checked_in: Option<String>,
    /// The sheet it uses.
    pub sheet: Option<Arc<Sheet>>,
    /// The house rules it uses.
    pub rules: Option<Arc<HouseRules>>,
    /// Scopes of the sheet that came, folded.
    pub scopes: BTreeSet<String>,
    /// Every surface of the sheet.
    pub surfaces: BTreeMap<SurfaceKey, Surface>,
    /// Agreed work by surface, the latest recorded of each.
    pub agreed: BTreeMap<SurfaceKey, Agreed>,
    /// Accepted values.
    pub accepted: Vec<Accepted>,
    /// Signatures by step, the latest recorded of each.
    pub signed: BTreeMap<Step, Signed>,
    /// What waits for history.
    pub held: Vec<Held>,
    /// Statements that were withdrawn.
    pub withdrawn: BTreeSet<Digest>,
    /// How many statements the job has, void and held ones too.
    pub facts: usize,
    /// Recorded time of the last statement that stands.
    pub last_recorded: Option<Timestamp>,
    /// Marks of the gauges its readings name, folded.
    pub gauges: BTreeSet<String>,
}

impl Job {
    /// Folds a job's statements.
    #[must_use]
    pub fn fold(key: &JobKey, set: &FactSet, shop: &Shop) -> Self {
        let standing = void::standing(set);
        let facts = standing.facts.as_slice();
        let mut job = Self::empty(key, set, facts);
        job.held = standing.held;
        job.withdrawn = standing.void;
        job.receive(facts, shop);
        match job.sheet.clone() {
            Some(sheet) => job.understand(&sheet, set, shop, facts),
            None => job.hold_all(facts),
        }
        job.held.sort();
        job
    }

    fn empty(key: &JobKey, set: &FactSet, facts: &[&Arc<Fact>]) -> Self {
        Self {
            key: key.clone(),
            written: facts.first().map_or_else(|| key.to_string(), |fact| fact.head.job_written.clone()),
            check_in: None,
            checked_in: None,
            sheet: None,
            rules: None,
            scopes: BTreeSet::new(),
            surfaces: BTreeMap::new(),
            agreed: BTreeMap::new(),
            accepted: Vec::new(),
            signed: BTreeMap::new(),
            held: Vec::new(),
            withdrawn: BTreeSet::new(),
            facts: set.len(),
            last_recorded: facts.last().map(|fact| fact.head.recorded.instant()),
            gauges: gauges_named(facts),
        }
    }

    fn hold(&mut self, fact: &Fact, part: &str, why: HeldWhy) {
        self.held.push(Held { fact: fact.id, kind: fact.body.kind(), part: part.to_owned(), why });
    }

    /// The first check-in recorded stands; with it come the sheet and the rules.
    fn receive(&mut self, facts: &[&Arc<Fact>], shop: &Shop) {
        let mut stands: Option<Digest> = None;
        for fact in facts {
            let Body::CheckIn(check_in) = &fact.body else { continue };
            if let Some(stands) = stands {
                self.hold(
                    fact,
                    "",
                    HeldWhy::Conflict { what: "the check-in of this job".to_owned(), stands },
                );
                continue;
            }
            stands = Some(fact.id);
            let at = fact.head.recorded.instant();
            self.written.clone_from(&fact.head.job_written);
            self.checked_in = Some(fact.head.recorded.short());
            self.sheet = shop.sheet(&check_in.sheet, at).cloned();
            self.rules = shop.rules(at).cloned();
            self.check_in = Some((**check_in).clone());
            match self.sheet.clone() {
                None => self.hold(fact, "", HeldWhy::NoSuchSheet(check_in.sheet.clone())),
                Some(sheet) => self.scopes(fact, check_in, &sheet),
            }
        }
    }

    fn scopes(&mut self, fact: &Fact, check_in: &CheckIn, sheet: &Sheet) {
        for scope in &check_in.scope {
            if sheet.scopes.iter().any(|s| same_name(&s.key, scope)) {
                self.scopes.insert(fold_name(scope));
            } else {
                let known: Vec<&str> = sheet.scopes.iter().map(|scope| scope.key.as_str()).collect();
                let why = HeldWhy::NoSuchScope { scope: scope.clone(), known: known.join(", ") };
                self.hold(fact, scope, why);
            }
        }
    }

    /// Without a check-in or its sheet nothing about the engine can be understood yet.
    fn hold_all(&mut self, facts: &[&Arc<Fact>]) {
        let why = match &self.check_in {
            None => HeldWhy::NotCheckedIn,
            Some(check_in) => HeldWhy::NoSuchSheet(check_in.sheet.clone()),
        };
        for fact in facts {
            if !matches!(fact.body, Body::CheckIn(_) | Body::Withdrawal(_)) {
                self.hold(fact, "", why.clone());
            }
        }
    }

    fn understand(&mut self, sheet: &Sheet, set: &FactSet, shop: &Shop, facts: &[&Arc<Fact>]) {
        let mut history = History::of(sheet, facts);
        self.held.append(&mut history.held);
        let mut decisions = Decisions::of(sheet, set, facts);
        self.held.append(&mut decisions.held);
        for (feature, found) in sheet.features.iter().enumerate() {
            for position in 0..found.positions.len() {
                let key = SurfaceKey { feature, position };
                let (instance, state) = history.present(part_of(sheet, key));
                let basis = history.basis(key, instance, usize::MAX);
                let sets = std::collections::BTreeMap::new();
                self.surfaces.insert(key, Surface { instance, state, done: history.done(key), sets, basis });
            }
        }
        let rules = self.rules.clone();
        let ground = Ground {
            sheet,
            rules: rules.as_deref(),
            set,
            shop,
            history: &history,
            confirmed: &decisions.confirmed,
        };
        let mut readings = Readings::of(&ground, facts);
        self.held.append(&mut readings.held);
        for ((key, set_key), found) in readings.sets {
            if let Some(surface) = self.surfaces.get_mut(&key) {
                surface.sets.insert(set_key, found);
            }
        }
        (self.agreed, self.accepted, self.signed) = (decisions.agreed, decisions.accepted, decisions.signed);
    }

    /// The feature of a surface.
    #[must_use]
    pub fn feature(&self, key: SurfaceKey) -> Option<&Feature> {
        self.sheet.as_ref()?.features.get(key.feature)
    }

    /// `main journal 3`.
    #[must_use]
    pub fn surface_name(&self, key: SurfaceKey) -> String {
        self.feature(key).map_or_else(String::new, |feature| {
            let position = feature.positions.get(key.position).map_or("", String::as_str);
            if feature.positions.len() == 1 {
                feature.key.clone()
            } else {
                format!("{} {position}", feature.key)
            }
        })
    }
}
