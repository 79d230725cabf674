//! The whole flow of a drop, on one page: claim, decide, commit, file away.
//!
//! Stop it at any line. Before the commit nothing happened and the papers lie in the drop folder. After it the
//! ledger has bytes, facts and letters; papers still in the folder are found again, known by their digest, and
//! only moved. After the moves nothing is left to do but what is owed.
//!
//! What follows from the papers is committed with them, so that an alert is as durable as its cause. In a backlog every
//! batch would look at each engine once more: there the ledger notes with the papers that their engines are owed a look
//! (`debts`), and each gets one when all are in.

use crate::daemon::debts::{AT_ONCE, owing};
use crate::daemon::error::DaemonError;
use crate::daemon::house::{FIRST_BATCH, House};
use crate::daemon::jobs::{Answered, Ground, JobBatch, Jobs, KnownJob, answer_all};
use crate::daemon::papers::{Fate, Paper, find_copies};
use crate::daemon::shop_wide::{self, ShopWide};
use crate::daemon::steps::Step;
use crate::facts::{Digest, Fact, JobKey};
use crate::intake::{Destination, Filed, Filing, Look, Why};
use crate::ledger::{Batch, NewArrival, Outcome};
use crate::pages::BoardRow;
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::time::Duration;

/// What a turn took in.
#[derive(Clone, Debug, Default)]
pub struct Taken {
    /// Papers accepted.
    pub filed: usize,
    /// Papers known already.
    pub copies: usize,
    /// Papers refused.
    pub returned: usize,
    /// Papers that still wait, and why.
    pub waiting: Vec<(String, String)>,
    /// There is more to take in at once.
    pub more: bool,
    /// When the folder is worth another look at the latest, monotonic.
    pub next: Option<Duration>,
    /// When the last of the papers that lie there will have lain still long enough, if none is touched; monotonic.
    pub settled: Option<Duration>,
}

/// A turn that takes longer makes the next one smaller: a stop, and a letter that is due, wait for the turn's end.
const LONG_TURN: Duration = Duration::from_secs(1);

/// A commit of more gains little, and each paper is in memory until its batch is filed.
const LARGEST_BATCH: usize = 1_000;

impl House {
    /// Larger batches cost less a paper, so they grow as long as a turn stays short.
    fn pace(&mut self, began: Duration, ready: usize) {
        let took = self.clock.since_start().saturating_sub(began);
        if took > LONG_TURN {
            self.batch = (self.batch / 2).max(FIRST_BATCH / 4);
        } else if ready >= self.batch && took < LONG_TURN / 2 {
            // As far as the next turn stays short too, if it takes as long a paper.
            let times = if took < LONG_TURN / 4 { 4 } else { 2 };
            self.batch = (self.batch * times).min(LARGEST_BATCH);
        }
        self.folder.hand_out(self.batch);
    }

    /// Takes in what has settled.
    pub(super) fn take_in(&mut self) -> Result<Taken, DaemonError> {
        let now = self.clock.now();
        let began = self.clock.since_start();
        let mut look = self.folder.look(began)?;
        let mut taken =
            Taken { more: look.behind > 0, next: look.next, settled: look.settled, ..Taken::default() };
        for (name, what) in &look.passed_over {
            tracing::info!(%name, what, "never taken in under this name");
        }

        // 1. Claim and read.
        let mut papers = self.read(&look.ready, now);
        find_copies(&mut papers, &self.ledger)?;
        self.wait_for_unfinished(&mut papers);
        self.after(Step::Claimed)?;

        // 2. Decide, job by job.
        let decided = self.decide(&mut papers, look.behind > 0, now)?;
        let following = std::mem::take(&mut look.following);
        self.reading_ahead(following, now, |house| house.keep(decided, &papers, &mut taken))?;

        taken.waiting = waiting(&look, &papers);
        self.press.arrived(&taken);
        for result in self.folder.relook(self.clock.since_start()) {
            match result {
                Ok(name) => {
                    tracing::info!(%name, "a filed paper was written on by its sender; taken in again")
                }
                Err(error) => tracing::warn!(%error, "looking again at a filed paper"),
            }
        }
        self.pace(began, look.ready.len());
        Ok(taken)
    }

    /// 3. One transaction. Only then is the new state ours. 4. File the papers away; the ledger has the bytes.
    fn keep(&mut self, decided: Decided, papers: &[Paper], taken: &mut Taken) -> Result<(), DaemonError> {
        if !decided.batch.arrivals.is_empty() {
            self.ledger.commit(&decided.batch)?;
            self.after(Step::Committed)?;
        }
        self.install(decided.shop, decided.jobs, Jobs::put);
        self.owe(decided.owed);
        self.file_away(papers, &decided.places)?;
        self.after(Step::FiledAway)?;
        count(&decided.batch.arrivals, taken);
        Ok(())
    }

    /// Unfinished papers wait until their patience ends; then they are returned. Without patience only
    /// what may still grow waits.
    fn wait_for_unfinished(&mut self, papers: &mut [Paper]) {
        let now = self.clock.since_start();
        for paper in papers {
            let Fate::Unfinished(state, slip) = &paper.fate else { continue };
            let impatient = !self.patient && *state == crate::intake::Unfinished::Broken;
            if impatient || self.folder.patience_over(&paper.candidate, *state, now) {
                paper.fate = Fate::Returned(slip.clone());
            } else {
                self.folder.still_arriving(&paper.candidate, *state, now);
            }
        }
    }

    fn decide(
        &mut self,
        papers: &mut [Paper],
        is_backlog: bool,
        now: Timestamp,
    ) -> Result<Decided, DaemonError> {
        let mut decided = Decided::default();
        let mut by_job: BTreeMap<JobKey, Vec<Arc<Fact>>> = BTreeMap::new();
        let mut shop_facts = Vec::new();
        let moment = self.moment(now);
        for paper in papers {
            if let Fate::Filed(fact) = &paper.fate {
                match &fact.job {
                    Some(key) => by_job.entry(key.clone()).or_default().push(Arc::clone(fact)),
                    None => shop_facts.push(Arc::clone(fact)),
                }
            }
            self.record(paper, &moment, &mut decided)?;
        }
        if !shop_facts.is_empty() {
            decided.batch.stale = shop_wide::stale(&shop_facts);
            decided.shop = Some(self.shop.with(&shop_facts));
        }
        if is_backlog || by_job.len() > AT_ONCE {
            decided.batch.owing = by_job.iter().map(|(key, new)| owing(key, new)).collect();
            decided.owed = by_job;
            return Ok(decided);
        }
        let mut batches = Vec::with_capacity(by_job.len());
        let mut out = 0;
        for (key, new) in by_job {
            let known = self.jobs.take(&key, &self.ledger, &self.config.site)?;
            out += known.statements();
            self.jobs.make_room(out);
            batches.push(JobBatch { key, known, new });
        }
        let shop = decided.shop.as_ref().map_or(&self.shop.shop, |shop| &shop.shop);
        let ground = Ground { shop, site: &self.config.site, now };
        for answered in answer_all(batches, &ground)? {
            self.queue(&answered.letters, now, &mut decided.batch)?;
            decided.add(answered);
        }
        Ok(decided)
    }

    pub(super) fn install(
        &mut self,
        shop: Option<ShopWide>,
        jobs: Vec<(JobKey, KnownJob, BoardRow)>,
        keep: fn(&mut Jobs, JobKey, KnownJob),
    ) {
        if let Some(shop) = shop {
            self.shop = shop;
            self.press.shop_changed();
        }
        for (key, job, row) in jobs {
            self.press.job_changed(&key);
            self.rows.put(row);
            keep(&mut self.jobs, key, job);
        }
    }

    fn file_away(&mut self, papers: &[Paper], places: &[Option<String>]) -> Result<(), DaemonError> {
        let filings: Vec<Filing> = papers
            .iter()
            .zip(places)
            .filter_map(|(paper, place)| {
                let to = match &paper.fate {
                    Fate::Filed(_) | Fate::Copy => Destination::Filed,
                    Fate::Returned(slip) => Destination::Returned { slip: slip.clone() },
                    Fate::Unfinished(..) | Fate::Left => return None,
                };
                Some(Filing {
                    candidate: paper.candidate.clone(),
                    to,
                    place: place.clone()?,
                    hash: paper.hash,
                })
            })
            .collect();
        if filings.is_empty() {
            return Ok(());
        }
        for (filing, result) in filings.iter().zip(self.folder.file_away(&filings, self.clock.since_start())?)
        {
            match result {
                Ok(Filed::At(place)) if place == filing.place => {}
                Ok(Filed::At(place)) => {
                    tracing::info!(paper = %filing.candidate.name, %place, "filed beside another of its name")
                }
                Ok(Filed::Overtaken) => {
                    tracing::info!(paper = %filing.candidate.name, "replaced by its sender meanwhile")
                }
                Err(error) => {
                    tracing::warn!(paper = %filing.candidate.name, %error, "recorded, but it cannot be moved yet")
                }
            }
        }
        Ok(())
    }
}

/// What one batch comes to: one transaction, and what is installed once it has returned.
#[derive(Default)]
pub(super) struct Decided {
    pub(super) batch: Batch,
    /// Where each paper is to lie; none for papers that stay.
    pub(super) places: Vec<Option<String>>,
    /// Statements of this batch, so that one said twice in it is known as a copy.
    pub(super) statements: BTreeSet<Digest>,
    pub(super) jobs: Vec<(JobKey, KnownJob, BoardRow)>,
    shop: Option<ShopWide>,
    /// New statements of engines that are looked at later.
    owed: BTreeMap<JobKey, Vec<Arc<Fact>>>,
}

impl Decided {
    /// What a job's batch comes to goes into the one transaction.
    pub(super) fn add(&mut self, answered: Answered) {
        self.batch.uses.extend(answered.uses);
        self.batch.issued.extend(answered.issued);
        self.batch.rows.push(answered.row);
        self.jobs.push((answered.key, answered.known, answered.board));
    }
}

/// By what the ledger was told of each: a statement said again in other bytes is a copy too.
fn count(arrivals: &[NewArrival], taken: &mut Taken) {
    for arrival in arrivals {
        match arrival.outcome {
            Outcome::Filed => taken.filed += 1,
            Outcome::Copy => taken.copies += 1,
            Outcome::Returned => {
                tracing::info!(paper = %arrival.name, "returned with a slip");
                taken.returned += 1;
            }
        }
    }
    if !arrivals.is_empty() {
        tracing::info!(filed = taken.filed, copies = taken.copies, returned = taken.returned, "taken in");
    }
}

/// What the look left lying, and what was read and is not all there yet.
fn waiting(look: &Look, papers: &[Paper]) -> Vec<(String, String)> {
    let lying = look.waiting.iter().map(|waiting| (waiting.name.clone(), waiting.why.to_string()));
    let unfinished = papers.iter().filter_map(|paper| match &paper.fate {
        Fate::Unfinished(state, _) => {
            Some((paper.candidate.name.clone(), Why::Unfinished(*state).to_string()))
        }
        Fate::Left => Some((paper.candidate.name.clone(), "it cannot be read now".to_owned())),
        Fate::Filed(_) | Fate::Copy | Fate::Returned(_) => None,
    });
    lying.chain(unfinished).collect()
}
