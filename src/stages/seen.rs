//! What a signer saw: the evidence code of everything that can be signed, now and as of an earlier time.
//!
//! Of a gate: the statements that matter up to it, and what those alone come to (the bands of their verdicts, which
//! blockers of the gates up to it). Of a blocker: the statements about its thing, and its words. Of a verdict: its
//! readings, and its state. Of an estimate: it and the agreed work, and what both say. The sheet and the house rules in
//! use are facts like any other. Signatures and waivers are nobody's evidence, so that signing changes no code;
//! nothing depends on arrival or on a clock.
//!
//! Which statements a code rests on is read off the job as it is. It is folded again only for what fewer of them come
//! to, once for each set of them: the evidence of a gate that the engine has left behind, or of an earlier time.

use crate::facts::{Body, Checked, Code, Digest, Fact, Money};
use crate::judgement::{Judgement, Verdict, judge};
use crate::sheets::fold_name;
use crate::shop::{
    Agreed, ApprovalNow, EstimateNow, GaugeState, Job, Piece, Shop, SurfaceKey, Touching, doubts_of_wrenches,
};
use crate::stages::agreed_on;
use crate::stages::blocker::{Blocker, BlockerRule, Stage};
use crate::stages::matters::Matters;
use crate::stages::waived::{About, Named};
use crate::stages::{all_blockers, rests};
use jiff::Timestamp;
use std::borrow::Cow;
use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// What some statements of a job come to.
struct Then<'a> {
    job: Cow<'a, Job>,
    judgement: Cow<'a, Judgement>,
    blockers: Vec<Blocker>,
    /// The verdicts that stand, in words.
    verdicts: OnceCell<Vec<String>>,
    /// What each blocker is about.
    abouts: OnceCell<Vec<About>>,
}

impl<'a> Then<'a> {
    fn of(job: Cow<'a, Job>, judgement: Cow<'a, Judgement>, blockers: Vec<Blocker>) -> Self {
        Self { job, judgement, blockers, verdicts: OnceCell::new(), abouts: OnceCell::new() }
    }

    /// The blockers that a name covers.
    fn covered(&self, named: &Named<'_>) -> impl Iterator<Item = &Blocker> {
        let abouts = self.abouts.get_or_init(|| self.blockers.iter().map(|b| About::of(&b.about)).collect());
        let whole = About::of(named.about);
        let each = self.blockers.iter().zip(abouts);
        each.filter(move |(blocker, about)| named.is_of(blocker) && about.is_part_of(&whole)).map(|(b, _)| b)
    }

    fn verdicts(&self) -> impl Iterator<Item = &str> {
        let words = || self.judgement.standing().map(verdict_words).collect();
        self.verdicts.get_or_init(words).iter().map(String::as_str)
    }
}

/// A statement that somebody can rest on.
struct Ground<'a> {
    fact: &'a Fact,
    /// The first gate it matters to.
    gate: Stage,
    /// As a code counts it; `None` for what is held whole, which does nothing yet.
    words: Option<String>,
    /// It has readings that count.
    is_read: bool,
    /// What puts their gauge in doubt; `None` without that.
    doubt: Option<String>,
}

impl Ground<'_> {
    fn at(&self) -> Timestamp {
        self.fact.head.recorded.instant()
    }

    /// What puts the gauge of its readings in doubt in a shop that knows less.
    fn doubt_in(&self, job: &Job, shop: &Shop) -> Option<String> {
        let Body::Measurements(set) = &self.fact.body else {
            return doubts_of_wrenches(shop, job.rules.as_deref(), self.fact);
        };
        let mark = set.gauge.as_ref().filter(|_| self.is_read)?;
        let state = shop.gauge_state(mark, &self.fact.head.recorded, job.rules.as_deref())?;
        doubt_of(self.fact, &state)
    }
}

/// Some statements of a job, and until when its gauges were heard of where that is not till now.
type Kept = (Vec<Digest>, Option<Timestamp>);

/// The job and what its statements, all of them or fewer, come to.
pub(super) struct Seen<'a> {
    pub(super) job: &'a Job,
    pub(super) judgement: &'a Judgement,
    /// In recorded order.
    grounds: OnceCell<Vec<Ground<'a>>>,
    /// What each statement is about.
    touching: OnceCell<Touching>,
    /// The statements about a printed thing and what moves it; `None` is every one.
    about: RefCell<BTreeMap<String, Option<Rc<BTreeSet<Digest>>>>>,
    /// The names of the shop's statements.
    of_shop: Vec<String>,
    known: RefCell<BTreeMap<Kept, Rc<Then<'a>>>>,
}

/// Which statements are meant: those that matter up to a gate, or to any; recorded up to a time, or at any.
#[derive(Clone, Copy)]
struct Which {
    gate: Option<Stage>,
    until: Option<Timestamp>,
}

impl Which {
    fn has(self, ground: &Ground<'_>) -> bool {
        self.gate.is_none_or(|gate| ground.gate <= gate)
            && self.until.is_none_or(|until| ground.at() <= until)
    }
}

impl<'a> Seen<'a> {
    pub(super) fn of(job: &'a Job, judgement: &'a Judgement) -> Self {
        Self {
            job,
            judgement,
            grounds: OnceCell::new(),
            touching: OnceCell::new(),
            about: RefCell::default(),
            of_shop: job.grounds.iter().map(Digest::hex).collect(),
            known: RefCell::default(),
        }
    }

    fn grounds(&self) -> &[Ground<'a>] {
        self.grounds.get_or_init(|| {
            let matters = Matters::of(self.job);
            let ground = |fact: &'a Fact| {
                let gate = matters.gate_of(fact)?;
                let is_read = matters.is_read(fact);
                let words = words_of(self.job, fact, is_read);
                let state = self.job.gauge_states.get(&fact.id).filter(|_| is_read);
                let of_gauge = state.and_then(|state| doubt_of(fact, state));
                let doubt =
                    of_gauge.or_else(|| doubts_of_wrenches(self.job.shop(), self.job.rules.as_deref(), fact));
                Some(Ground { fact, gate, words, is_read, doubt })
            };
            self.job.statements().iter().filter_map(|fact| ground(fact)).collect()
        })
    }

    /// What the statements meant come to.
    fn then(&self, which: Which) -> Rc<Then<'a>> {
        let kept: Vec<Digest> =
            self.grounds().iter().filter(|g| which.has(g)).map(|ground| ground.fact.id).collect();
        // What happened to a gauge later was not known then.
        let shop = which.until.and_then(|until| self.job.shop_as_heard(until));
        let key: Kept = (kept, shop.as_ref().and(which.until));
        if let Some(known) = self.known.borrow().get(&key) {
            return Rc::clone(known);
        }
        let then = Rc::new(if key.0.len() == self.grounds().len() && shop.is_none() {
            let blockers =
                all_blockers(&self.job.unsigned(self.grounds().last().map(Ground::at)), self.judgement);
            Then::of(Cow::Borrowed(self.job), Cow::Borrowed(self.judgement), blockers)
        } else {
            let wanted: BTreeSet<Digest> = key.0.iter().copied().collect();
            let shop = shop.as_ref().unwrap_or(self.job.shop());
            let job = self.job.only_in(shop, |fact| wanted.contains(&fact.id));
            let judgement = judge(&job);
            let blockers = all_blockers(&job, &judgement);
            Then::of(Cow::Owned(job), Cow::Owned(judgement), blockers)
        });
        self.known.borrow_mut().insert(key, Rc::clone(&then));
        then
    }

    /// The half of a code that stands for the facts, of those that count.
    fn facts(&self, which: Which, counts: impl Fn(&Ground<'_>) -> bool) -> Digest {
        let counted = || self.grounds().iter().filter(|ground| which.has(ground) && counts(ground));
        let words = counted().filter_map(|ground| ground.words.as_deref());
        let shop = which.until.and_then(|until| self.job.shop_as_heard(until));
        let doubts: Vec<Cow<'_, str>> = counted()
            .filter_map(|ground| match &shop {
                None => ground.doubt.as_deref().map(Cow::from),
                Some(shop) => ground.doubt_in(self.job, shop).map(Cow::from),
            })
            .collect();
        let doubts = doubts.iter().map(|words| &**words);
        Code::half(self.of_shop.iter().map(String::as_str).chain(words).chain(doubts).collect())
    }

    /// The code of a gate: what a signature of its step rests on.
    pub(super) fn gate(&self, gate: Stage) -> Code {
        let which = Which { gate: Some(gate), until: None };
        Code::of(self.facts(which, |_| true), self.gate_outcome(which, gate))
    }

    fn gate_outcome(&self, which: Which, gate: Stage) -> Digest {
        let then = self.then(which);
        let own = |blocker: &&Blocker| blocker.stage <= gate && blocker.rule != BlockerRule::Signed;
        let blockers = then.blockers.iter().filter(own);
        let blockers: Vec<String> = blockers
            .map(|blocker| format!("{} {} {}", blocker.stage.word(), blocker.rule.word(), blocker.about))
            .collect();
        Code::half(then.verdicts().chain(blockers.iter().map(String::as_str)).collect())
    }

    /// A signature held against the evidence of its gate.
    pub(super) fn signature(&self, gate: Stage, quoted: Option<&str>, at: Timestamp) -> Checked {
        let now = self.gate(gate);
        Checked::against(quoted, now.clone(), || {
            let which = Which { gate: Some(gate), until: Some(at) };
            before(&now, self.facts(which, |_| true), || self.gate_outcome(which, gate))
        })
    }

    /// The code of what a waiver names: the statements about its thing, and the words of its blockers.
    pub(super) fn blocker(&self, named: &Named<'_>) -> Code {
        let which = Which { gate: None, until: None };
        Code::of(self.facts_about(named, which), self.blocker_outcome(named, which))
    }

    fn facts_about(&self, named: &Named<'_>, which: Which) -> Digest {
        match self.about(named.about) {
            None => self.facts(which, |_| true),
            Some(about) => {
                let counts = |fact: &Fact| about.contains(&fact.id) || rests::also(named.rule, fact);
                self.facts(which, |ground| counts(ground.fact))
            }
        }
    }

    /// Many blockers are about one thing, and each of them can be set aside.
    fn about(&self, printed: &str) -> Option<Rc<BTreeSet<Digest>>> {
        if let Some(known) = self.about.borrow().get(printed) {
            return known.clone();
        }
        let touching = self.touching.get_or_init(|| Touching::of(self.job));
        let things = rests::with_movers(self.job, self.job.things_named(printed));
        let about = touching.about(self.job, &things).map(Rc::new);
        self.about.borrow_mut().insert(printed.to_owned(), about.clone());
        about
    }

    fn blocker_outcome(&self, named: &Named<'_>, which: Which) -> Digest {
        let then = self.then(which);
        Code::half(then.covered(named).map(|blocker| blocker.what.as_str()).collect())
    }

    /// A waiver held against the evidence of what it names.
    pub(super) fn waiver(&self, named: &Named<'_>, quoted: Option<&str>, at: Timestamp) -> Checked {
        let now = self.blocker(named);
        Checked::against(quoted, now.clone(), || {
            let which = Which { gate: None, until: Some(at) };
            before(&now, self.facts_about(named, which), || self.blocker_outcome(named, which))
        })
    }

    /// The code of some verdicts: their readings, and their states.
    pub(super) fn verdicts(&self, which: impl Fn(&Verdict) -> bool) -> Code {
        verdicts(self.judgement, which)
    }

    /// Accepted values held against the evidence of their verdicts.
    pub(super) fn acceptance(
        &self,
        which: impl Fn(&Verdict) -> bool,
        quoted: Option<&str>,
        at: Timestamp,
    ) -> Checked {
        Checked::against(quoted, self.verdicts(&which), || {
            verdicts(&self.then(Which { gate: None, until: Some(at) }).judgement, &which)
        })
    }

    /// Agreed work held against the readings it was agreed on.
    pub(super) fn agreement(&self, pieces: &[Piece], quoted: Option<&str>, at: Timestamp) -> Checked {
        let now = agreed_on::code(self.job, self.judgement, pieces, Some(at));
        Checked::against(quoted, now.clone(), || {
            if agreed_on::was_all_known(self.job, pieces, at) {
                return now;
            }
            let then = self.then(Which { gate: None, until: Some(at) });
            agreed_on::code(&then.job, &then.judgement, pieces, Some(at))
        })
    }

    /// The code of an estimate: the latest of its option, and the agreed work. `None` is the latest of all.
    pub(super) fn estimate(&self, option: Option<&str>) -> Code {
        estimate(self.job, latest_of(self.job, option), &self.job.agreed)
    }

    /// An approval held against the evidence of its estimate.
    pub(super) fn approval(&self, option: Option<&str>, quoted: Option<&str>, at: Timestamp) -> Checked {
        // What was agreed since on other places is an addition, and has a blocker of its own.
        let then = self.job.agreed_until(at);
        let own = self.job.agreed.iter().filter(|(key, _)| then.contains_key(key));
        let own = own.map(|(key, agreed)| (*key, agreed.clone())).collect();
        let now = estimate(self.job, latest_of(self.job, option), &own);
        Checked::against(quoted, now, || {
            let mut of_option = estimates_of(self.job, option);
            let known = of_option.rfind(|now| now.said.at <= at);
            estimate(self.job, known, &then)
        })
    }
}

/// The code as of an earlier time. The same facts come to the same, and are not folded again to see that.
fn before(now: &Code, facts: Digest, outcome: impl FnOnce() -> Digest) -> Code {
    if facts.short() == now.facts() { now.clone() } else { Code::of(facts, outcome()) }
}

fn verdicts(judgement: &Judgement, which: impl Fn(&Verdict) -> bool) -> Code {
    let (mut facts, mut outcome) = (Vec::new(), Vec::new());
    for verdict in judgement.standing().filter(|verdict| which(verdict)) {
        let readings = verdict.judged.iter().flat_map(|judged| &judged.readings);
        facts.extend(readings.map(|reading| format!("{}:{}", reading.fact.hex(), reading.row)));
        facts.extend(verdict.gauges.iter().filter_map(|used| doubt_words(&used.state)));
        outcome.push(verdict_words(verdict));
    }
    Code::of_lists(&facts, &outcome)
}

/// The option an approval is of.
pub(super) fn option_of<'j>(job: &'j Job, approval: &ApprovalNow) -> Option<&'j str> {
    let own = job.books.estimates.iter().find(|estimate| Some(estimate.said.fact) == approval.estimate)?;
    Some(own.estimate.option.as_str())
}

/// The latest estimate of an option.
pub(super) fn latest_of<'j>(job: &'j Job, option: Option<&str>) -> Option<&'j EstimateNow> {
    estimates_of(job, option).next_back()
}

/// The estimates of an option, or all, in recorded order.
fn estimates_of<'j>(job: &'j Job, option: Option<&str>) -> impl DoubleEndedIterator<Item = &'j EstimateNow> {
    let wanted = option.map(fold_name);
    let fits = move |now: &&EstimateNow| {
        wanted.as_ref().is_none_or(|wanted| *wanted == fold_name(&now.estimate.option))
    };
    job.books.estimates.iter().filter(fits)
}

fn estimate(job: &Job, latest: Option<&EstimateNow>, agreed: &BTreeMap<SurfaceKey, Agreed>) -> Code {
    let (mut facts, mut outcome) = (Vec::new(), Vec::new());
    if let Some(now) = latest {
        let sum: Money = now.estimate.sum();
        facts.push(now.said.fact.hex());
        outcome.push(format!("{sum} at most {}", now.estimate.not_to_exceed));
    }
    for (key, agreed) in agreed {
        facts.push(agreed.fact.hex());
        outcome.push(format!("{} {} {:?}", job.surface_name(*key), agreed.operation, agreed.finished));
    }
    Code::of_lists(&facts, &outcome)
}

/// Name, band, side and proof, and whether places are missing.
fn verdict_words(verdict: &Verdict) -> String {
    let judged = verdict.judged.as_ref();
    let state = judged.map_or_else(String::new, |judged| format!("{:?}, {}", judged.band, judged.state()));
    let incomplete = if verdict.is_incomplete() { "incomplete" } else { "" };
    let mut words = format!("{}: {state} {incomplete}", verdict.told_key());
    for (mark, flag) in verdict.doubts() {
        words.push_str(&format!(" {mark} {}", flag.kind.key()));
    }
    words
}

fn doubt_of(fact: &Fact, state: &GaugeState) -> Option<String> {
    doubt_words(state).map(|words| format!("{} {words}", fact.id.hex()))
}

/// What puts a gauge in doubt; `None` where nothing does, so that a code without it stays as it is.
fn doubt_words(state: &GaugeState) -> Option<String> {
    let doubts: Vec<&str> =
        state.flags.iter().filter(|flag| flag.kind.is_doubt()).map(|flag| flag.words.as_str()).collect();
    (!doubts.is_empty()).then(|| format!("{}: {}", state.mark, doubts.join("; ")))
}

/// A statement as a code counts it: with what is held of it, and its gauge as it was, where a reading of it counts. What
/// is held whole does nothing yet.
fn words_of(job: &Job, fact: &Fact, is_read: bool) -> Option<String> {
    let held: Vec<&str> =
        job.held.iter().filter(|held| held.fact == fact.id).map(|held| held.part.as_str()).collect();
    if held.contains(&"") {
        return None;
    }
    let gauge = if let Body::Measurements(set) = &fact.body
        && is_read
    {
        let known =
            |mark: &str| job.shop().gauge(mark, &fact.head.who, &fact.head.recorded, job.rules.as_deref());
        set.gauge.as_deref().and_then(known).map(|gauge| gauge.evidence_for(set))
    } else {
        None
    };
    let gauge = gauge.unwrap_or_else(|| "None".to_owned());
    Some(format!("{} {held:?} {gauge}", fact.id.hex()))
}
