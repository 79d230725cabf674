//! Folding a job: each part of its statements understood in turn, what cannot be understood yet held.

use crate::facts::{Body, CheckIn, Decision, Digest, Fact, JobKey};
use crate::sheets::{Sheet, fold_name, same_name};
use crate::shop::bags::Bags;
use crate::shop::decisions::Decisions;
use crate::shop::findings::Findings;
use crate::shop::history::History;
use crate::shop::orders::Orders;
use crate::shop::parts::Parts;
use crate::shop::readings::{Ground, Readings, gauges_named};
use crate::shop::sources::Sources;
use crate::shop::together::Together;
use crate::shop::{Books, FactSet, Held, HeldWhy, Job, Shop, Surface, SurfaceKey, gauge_state, void};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

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
        job.gauge_states = gauge_state::gauge_states(facts, shop, job.rules.as_deref());
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
            written: facts.first().map_or_else(|| key.to_string(), |fact| fact.head.job_written.to_string()),
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
            pictures: Vec::new(),
            bags: BTreeMap::new(),
            orders: BTreeMap::new(),
            joints: BTreeMap::new(),
            checks: BTreeMap::new(),
            books: Books::default(),
            disposed: Vec::new(),
            half_steps: BTreeMap::new(),
            apart: BTreeMap::new(),
            authority: None,
            waived: Vec::new(),
            held: Vec::new(),
            withdrawn: BTreeSet::new(),
            facts: set.len(),
            last_recorded: facts.last().map(|fact| fact.head.recorded.instant()),
            gauges: shop.with_sources(gauges_named(facts)),
            gauge_states: BTreeMap::new(),
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
            self.written = fact.head.job_written.to_string();
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
        shop: &Shop,
        facts: &[&Arc<Fact>],
    ) {
        let parts = Parts::of(sheet, facts, &orders);
        let findings = Findings::of(sheet, set, history, facts);
        let bags = Bags::of(sheet, facts);
        let together = Together::of(sheet, (shop, self.rules.as_deref()), facts);
        let (books, unclear) = Books::of(sheet, set, facts);
        for held in [orders.held, parts.held, findings.held, bags.held, together.held, unclear] {
            self.held.extend(held);
        }
        (self.orders, self.parts, self.bags) = (orders.orders, parts.lives, bags.bags);
        (self.findings, self.problems) = (findings.findings, findings.problems);
        self.pictures = findings.pictures;
        (self.joints, self.checks, self.books) = (together.joints, together.checks, books);
    }

    fn understand(&mut self, sheet: &Sheet, set: &FactSet, shop: &Shop, facts: &[&Arc<Fact>]) {
        let orders = Orders::of(sheet, facts);
        let mut history = History::of(sheet, facts, &orders);
        self.held.append(&mut history.held);
        self.things(sheet, set, &history, orders, shop, facts);
        let mut decisions = Decisions::of(sheet, set, facts);
        // Work that was agreed on a piece that is gone says nothing of the one that took its place.
        decisions.agreed.retain(|key, agreed| history.is_of_present(*key, agreed.order));
        self.held.append(&mut decisions.held);
        for (feature, found) in sheet.features.iter().enumerate() {
            for position in 0..found.positions.len() {
                let key = SurfaceKey { feature, position };
                let (instance, state) = history.present_of(key);
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
        self.half_steps = decisions.half_steps;
        self.apart = decisions.apart;
    }
}
