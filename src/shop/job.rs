//! One job, folded from its statements and the shop's.

use crate::facts::{Authority, Body, CheckIn, Decision, Digest, Fact, HouseRules, JobKey, Step, Waiver};
use crate::sheets::{Feature, Sheet, fold_name, same_name};
use crate::shop::bags::{Bag, Bags};
use crate::shop::books::Books;
use crate::shop::decisions::{Accepted, Agreed, Decisions, Disposed, Signed};
use crate::shop::findings::{FindingNow, Findings, Problem};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::history::History;
use crate::shop::orders::{Order, Orders};
use crate::shop::parts::{PartLife, Parts};
use crate::shop::places::{PartPlace, part_of, places_words};
use crate::shop::readings::{Ground, Readings, gauges_named};
use crate::shop::said::Said;
use crate::shop::set::FactSet;
use crate::shop::shop_wide::Shop;
use crate::shop::sources::Sources;
use crate::shop::surfaces::{Surface, SurfaceKey};
use crate::shop::together::{CheckNow, Joint, Together};
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
    /// Every part of the sheet.
    pub parts: BTreeMap<PartPlace, PartLife>,
    /// Findings in recorded order.
    pub findings: Vec<FindingNow>,
    /// Problems, open and closed, in recorded order.
    pub problems: Vec<Problem>,
    /// Bags by folded group.
    pub bags: BTreeMap<String, Bag>,
    /// Work orders by folded number.
    pub orders: BTreeMap<String, Order>,
    /// Tightened joints by folded group.
    pub joints: BTreeMap<String, Joint>,
    /// Answers by folded check, in recorded order.
    pub checks: BTreeMap<String, Vec<CheckNow>>,
    /// Money, hours and supplies.
    pub books: Books,
    /// What becomes of parts with findings, in recorded order.
    pub disposed: Vec<Disposed>,
    /// Leave to take the engine apart, the latest word.
    pub authority: Option<(Said, Authority)>,
    /// Blockers set aside, in recorded order; which of them holds is asked where blockers are.
    pub waived: Vec<(Said, Waiver)>,
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
    /// The shop's statements that hold its sheet and its house rules.
    pub grounds: Vec<Digest>,
    /// What it was folded from.
    pub(super) sources: Arc<Sources>,
}

impl Job {
    /// Folds a job's statements.
    #[must_use]
    pub fn fold(key: &JobKey, set: &FactSet, shop: &Shop) -> Self {
        let standing = void::standing(set);
        let facts = standing.facts.as_slice();
        let mut job = Self::empty(key, set, shop, facts);
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

    fn empty(key: &JobKey, set: &FactSet, shop: &Shop, facts: &[&Arc<Fact>]) -> Self {
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
            parts: BTreeMap::new(),
            findings: Vec::new(),
            problems: Vec::new(),
            bags: BTreeMap::new(),
            orders: BTreeMap::new(),
            joints: BTreeMap::new(),
            checks: BTreeMap::new(),
            books: Books::default(),
            disposed: Vec::new(),
            authority: None,
            waived: Vec::new(),
            held: Vec::new(),
            withdrawn: BTreeSet::new(),
            facts: set.len(),
            last_recorded: facts.last().map(|fact| fact.head.recorded.instant()),
            gauges: gauges_named(facts),
            grounds: Vec::new(),
            sources: Arc::new(Sources::of(set, shop, facts)),
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
            let moved = self.moved(facts, shop, &check_in.sheet);
            self.sheet = shop.sheet(&check_in.sheet, at, moved.0).cloned();
            self.rules = shop.rules(at, moved.1).cloned();
            self.grounds = shop.grounds(&check_in.sheet, at, moved);
            self.check_in = Some((**check_in).clone());
            match self.sheet.clone() {
                None => self.hold(fact, "", HeldWhy::NoSuchSheet(check_in.sheet.clone())),
                Some(sheet) => self.scopes(fact, check_in, &sheet),
            }
        }
    }

    /// The revisions of sheet and house rules the job was moved to, the latest word on each. A revision that is
    /// not here is waited for.
    fn moved(&mut self, facts: &[&Arc<Fact>], shop: &Shop, sheet: &str) -> (Option<u32>, Option<u32>) {
        let mut moved = (None, None);
        for fact in facts {
            let Body::Decision(Decision::Revision(change)) = &fact.body else { continue };
            if let Some(revision) = change.sheet {
                if shop.has_sheet(sheet, revision) {
                    moved.0 = Some(revision);
                } else {
                    self.hold(fact, "sheet", HeldWhy::NoSuchSheet(format!("{sheet} revision {revision}")));
                }
            }
            if let Some(revision) = change.house_rules {
                if shop.has_rules(revision) {
                    moved.1 = Some(revision);
                } else {
                    self.hold(fact, "house rules", HeldWhy::NoSuchRules(revision));
                }
            }
        }
        moved
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

    /// What the statements say of parts, bags, orders and money.
    fn things(
        &mut self,
        sheet: &Sheet,
        set: &FactSet,
        history: &History<'_>,
        orders: Orders,
        facts: &[&Arc<Fact>],
    ) {
        let parts = Parts::of(sheet, facts, &orders);
        let findings = Findings::of(sheet, set, history, facts);
        let bags = Bags::of(sheet, facts);
        let together = Together::of(sheet, facts);
        let (books, unclear) = Books::of(set, facts);
        for held in [orders.held, parts.held, findings.held, bags.held, together.held, unclear] {
            self.held.extend(held);
        }
        (self.orders, self.parts, self.bags) = (orders.orders, parts.lives, bags.bags);
        (self.findings, self.problems) = (findings.findings, findings.problems);
        (self.joints, self.checks, self.books) = (together.joints, together.checks, books);
    }

    fn understand(&mut self, sheet: &Sheet, set: &FactSet, shop: &Shop, facts: &[&Arc<Fact>]) {
        let orders = Orders::of(sheet, facts);
        let mut history = History::of(sheet, facts, &orders);
        self.held.append(&mut history.held);
        self.things(sheet, set, &history, orders, facts);
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
        (self.disposed, self.authority, self.waived) =
            (decisions.disposed, decisions.authority, decisions.waived);
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

    /// Does something that is for these scopes of the sheet concern this engine? No scope means every scope.
    #[must_use]
    pub fn concerns(&self, scopes: &[String]) -> bool {
        scopes.is_empty() || scopes.iter().any(|scope| self.scopes.contains(&fold_name(scope)))
    }

    /// `piston 2, 3`.
    #[must_use]
    pub fn parts_name(&self, places: &[PartPlace]) -> String {
        self.sheet.as_ref().map_or_else(String::new, |sheet| places_words(sheet, places))
    }

    /// The part a surface belongs to.
    #[must_use]
    pub fn part_of(&self, key: SurfaceKey) -> PartPlace {
        self.sheet.as_ref().map_or((0, 0), |sheet| part_of(sheet, key))
    }

    /// Problems that nobody has closed.
    pub fn open_problems(&self) -> impl Iterator<Item = &Problem> {
        self.problems.iter().filter(|problem| problem.closed.is_none())
    }

    /// The engine is set aside, not authorised: it was stored, and neither leave nor money was given since.
    #[must_use]
    pub fn stored(&self) -> Option<&Signed> {
        let stored = self.signed.get(&Step::Stored)?;
        let since = |said: &Said| said.at > stored.recorded;
        let leave = self.authority.as_ref().is_some_and(|(said, authority)| authority.granted && since(said));
        let money = self.books.approvals.iter().any(|now| now.approval.granted && since(&now.said));
        (!leave && !money).then_some(stored)
    }
}
