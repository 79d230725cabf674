//! What a signer saw: the evidence code of everything that can be signed, now and as of an earlier time.
//!
//! Of a gate: the statements that matter up to it, and what those alone come to (the bands of their verdicts, which
//! blockers of the gates up to it). Of a blocker: the statements about its thing, and its words. Of a verdict: its
//! readings, and its state. Of an estimate: it and the agreed work, and what both say. The sheet and the house rules in
//! use are facts like any other. Signatures and waivers are nobody's evidence, so that signing changes no code;
//! nothing depends on arrival or on a clock.

use crate::facts::{Body, Code, Decision, Digest, Fact, Money};
use crate::judgement::{Judgement, Verdict, judge};
use crate::sheets::fold_name;
use crate::shop::{ApprovalNow, EstimateNow, Job, Touched};
use crate::stages::blocker::{Blocker, BlockerRule, Stage};
use crate::stages::matters::gate_of;
use crate::stages::waived::Named;
use crate::stages::{all_blockers, rests, waived};
use jiff::Timestamp;
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

/// A job as far as some of its statements go.
pub(super) struct Then {
    pub(super) job: Job,
    pub(super) judgement: Judgement,
    pub(super) blockers: Vec<Blocker>,
}

impl Then {
    fn of(job: Job) -> Self {
        let judgement = judge(&job);
        let blockers = all_blockers(&job, &judgement);
        Self { job, judgement, blockers }
    }
}

/// The job, and what it was, folded once for each set of statements that somebody rests on.
pub(super) struct Seen<'a> {
    pub(super) job: &'a Job,
    pub(super) judgement: &'a Judgement,
    gates: BTreeMap<Digest, Stage>,
    known: RefCell<BTreeMap<Vec<Digest>, Rc<Then>>>,
    /// What each statement is about; looked up once, and only where somebody asks.
    touched: OnceCell<BTreeMap<Digest, Touched>>,
}

impl<'a> Seen<'a> {
    pub(super) fn of(job: &'a Job, judgement: &'a Judgement) -> Self {
        let gates = job.statements().iter().filter_map(|fact| Some((fact.id, gate_of(job, fact)?))).collect();
        Self { job, judgement, gates, known: RefCell::default(), touched: OnceCell::new() }
    }

    /// The job with the statements that matter up to a gate, or all that matter to any, recorded up to a time.
    pub(super) fn then(&self, gate: Option<Stage>, until: Option<Timestamp>) -> Rc<Then> {
        let up_to =
            |fact: &Fact| self.gates.get(&fact.id).is_some_and(|own| gate.is_none_or(|gate| *own <= gate));
        let in_time = |fact: &Fact| until.is_none_or(|until| fact.head.recorded.instant() <= until);
        let kept =
            self.job.statements().iter().filter(|fact| up_to(fact) && in_time(fact)).map(|fact| fact.id);
        let kept: Vec<Digest> = kept.collect();
        if let Some(known) = self.known.borrow().get(&kept) {
            return Rc::clone(known);
        }
        let wanted: BTreeSet<Digest> = kept.iter().copied().collect();
        let then = Rc::new(Then::of(self.job.only(|fact| wanted.contains(&fact.id))));
        self.known.borrow_mut().insert(kept, Rc::clone(&then));
        then
    }

    /// The code of a gate: what a signature of its step rests on.
    pub(super) fn gate(&self, gate: Stage, until: Option<Timestamp>) -> Code {
        let then = self.then(Some(gate), until);
        let mut outcome = Vec::new();
        for verdict in then.judgement.standing() {
            outcome.push(format!("{}: {}", verdict.told_key(), state_of(verdict)));
        }
        let own = |blocker: &&Blocker| blocker.stage <= gate && blocker.rule != BlockerRule::Signed;
        for blocker in then.blockers.iter().filter(own) {
            outcome.push(format!("{} {} {}", blocker.stage.word(), blocker.rule.word(), blocker.about));
        }
        Code::of_lists(facts_of(&then.job, |_| true), outcome)
    }

    /// The code of what a waiver names: the statements about its thing, and the words of its blockers.
    pub(super) fn blocker(&self, named: &Named<'_>, until: Option<Timestamp>) -> Code {
        let then = self.then(None, until);
        let about = rests::with_movers(self.job, self.job.things_named(named.about));
        let facts = facts_of(&then.job, |fact| {
            rests::also(named.rule, fact)
                || self.touched().get(&fact.id).is_some_and(|touched| self.job.meet(&about, touched))
        });
        let words = then.blockers.iter().filter(|blocker| waived::covers(named, blocker));
        Code::of_lists(facts, words.map(|blocker| blocker.what.clone()).collect())
    }

    fn touched(&self) -> &BTreeMap<Digest, Touched> {
        let of = |fact: &Arc<Fact>| (fact.id, self.job.touched_by(fact));
        self.touched.get_or_init(|| self.job.statements().iter().map(of).collect())
    }

    /// The code of some verdicts: their readings, and their states.
    pub(super) fn verdicts(&self, which: impl Fn(&Verdict) -> bool, until: Option<Timestamp>) -> Code {
        let (mut facts, mut outcome) = (Vec::new(), Vec::new());
        let mut add = |judgement: &Judgement| {
            for verdict in judgement.standing().filter(|verdict| which(verdict)) {
                let readings = verdict.judged.iter().flat_map(|judged| &judged.readings);
                facts.extend(readings.map(|reading| format!("{}:{}", reading.fact.hex(), reading.row)));
                outcome.push(format!("{}: {}", verdict.told_key(), state_of(verdict)));
            }
        };
        match until {
            None => add(self.judgement),
            Some(_) => add(&self.then(None, until).judgement),
        }
        Code::of_lists(facts, outcome)
    }

    /// The code of an estimate: the latest of its option, and the agreed work. `None` is the latest of all.
    pub(super) fn estimate(&self, option: Option<&str>, until: Option<Timestamp>) -> Code {
        match until {
            None => estimate(self.job, option),
            Some(_) => estimate(&self.then(None, until).job, option),
        }
    }
}

/// The option an approval is of.
pub(super) fn option_of<'j>(job: &'j Job, approval: &ApprovalNow) -> Option<&'j str> {
    let own = job.books.estimates.iter().find(|estimate| Some(estimate.said.fact) == approval.estimate)?;
    Some(own.estimate.option.as_str())
}

/// The latest estimate of an option.
pub(super) fn latest_of<'j>(job: &'j Job, option: Option<&str>) -> Option<&'j EstimateNow> {
    let fits = |now: &&EstimateNow| option.is_none_or(|o| fold_name(o) == fold_name(&now.estimate.option));
    job.books.estimates.iter().rfind(fits)
}

fn estimate(job: &Job, option: Option<&str>) -> Code {
    let (mut facts, mut outcome) = (Vec::new(), Vec::new());
    if let Some(now) = latest_of(job, option) {
        let sum: Money = now.estimate.sum();
        facts.push(now.said.fact.hex());
        outcome.push(format!("{sum} at most {}", now.estimate.not_to_exceed));
    }
    for (key, agreed) in &job.agreed {
        facts.push(agreed.fact.hex());
        outcome.push(format!("{} {} {:?}", job.surface_name(*key), agreed.operation, agreed.finished));
    }
    Code::of_lists(facts, outcome)
}

/// Band, side and proof, and whether places are missing.
fn state_of(verdict: &Verdict) -> String {
    let judged = verdict.judged.as_ref();
    let state = judged.map_or_else(String::new, |judged| format!("{:?}, {}", judged.band, judged.state()));
    format!("{state} {}", if verdict.is_incomplete() { "incomplete" } else { "" })
}

/// The statements a thing rests on, each with what is held of it and the gauges of its readings as they were, and the
/// statements of the shop that hold the sheet and the house rules. What is held whole does nothing yet.
fn facts_of(job: &Job, counts: impl Fn(&Fact) -> bool) -> Vec<String> {
    let mut gauges: BTreeMap<Digest, BTreeSet<String>> = BTreeMap::new();
    let sets = job.surfaces.values().flat_map(|surface| surface.sets.values());
    for reading in sets.flat_map(|set| set.readings.values().flatten()) {
        let known = gauges.entry(reading.fact).or_default();
        known.extend(reading.gauge.as_ref().map(|gauge| format!("{gauge:?}")));
    }
    let mut facts: Vec<String> = job.grounds.iter().map(Digest::hex).collect();
    for fact in job.statements().iter().filter(|fact| is_evidence(fact) && counts(fact)) {
        let held: Vec<&str> =
            job.held.iter().filter(|held| held.fact == fact.id).map(|held| held.part.as_str()).collect();
        if !held.contains(&"") {
            facts.push(format!("{} {held:?} {:?}", fact.id.hex(), gauges.get(&fact.id)));
        }
    }
    facts
}

/// Signatures and waivers are nobody's evidence; a withdrawal is seen by what it takes away.
const fn is_evidence(fact: &Fact) -> bool {
    !matches!(fact.body, Body::SignOff(_) | Body::Withdrawal(_) | Body::Decision(Decision::Waiver(_)))
}
