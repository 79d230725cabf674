//! What papers would do, seen from a ledger that is only read.

use crate::daemon::error::DaemonError;
use crate::daemon::jobs::KnownJob;
use crate::daemon::papers::{Fate, fate_of};
use crate::daemon::shop_wide::{ShopWide, stale};
use crate::facts::{Digest, Fact, JobKey};
use crate::ledger::{Ledger, Stale};
use crate::pages::{Foreseen, ForeseenFate, ForeseenJob, ForeseenPaper};
use crate::respond::{respond, view};
use crate::shop::Shop;
use jiff::Timestamp;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// So many engines are judged anew to say what a shop-wide paper changes on them.
const MOST_JOBS: usize = 200;

/// What these papers, given as names and bytes, would do if they were dropped together now. Nothing is recorded.
///
/// # Errors
/// The ledger cannot be read.
pub fn foresee(
    ledger: &Ledger,
    papers: &[(String, Vec<u8>)],
    now: Timestamp,
) -> Result<Foreseen, DaemonError> {
    let mut foreseen = Foreseen::default();
    let (mut shop_facts, mut by_job) = (Vec::new(), BTreeMap::<JobKey, Vec<Arc<Fact>>>::new());
    let (mut said, mut new_of) = (BTreeSet::new(), Vec::new());
    for (name, bytes) in papers {
        let fate = fate_of(name, bytes, ledger.site(), now);
        let (mut paper, fact) = paper(name, bytes, fate);
        if let Some(fact) = fact.filter(|_| matches!(paper.fate, ForeseenFate::Filed { .. })) {
            if !said.insert(fact.id)
                || ledger.known_content(&fact.id)?
                || ledger.known(&fact.bytes)?.is_some()
            {
                paper.fate = ForeseenFate::Copy;
            } else {
                new_of.push((foreseen.papers.len(), fact.id));
                match &fact.job {
                    Some(key) => by_job.entry(key.clone()).or_default().push(fact),
                    None => shop_facts.push(fact),
                }
            }
        }
        foreseen.papers.push(paper);
    }
    let before = ShopWide::load(ledger, ledger.site())?;
    let after = before.with(&shop_facts);
    for key in touched(ledger, &shop_facts)? {
        by_job.entry(key).or_default();
    }
    let mut held: Vec<(Digest, String)> =
        after.shop.held.iter().map(|held| (held.fact, held.why.to_string())).collect();
    for (index, (key, new)) in by_job.into_iter().enumerate() {
        if index >= MOST_JOBS && new.is_empty() {
            foreseen.more_jobs += 1;
            continue;
        }
        let is_named = !new.is_empty();
        let job = one_job(ledger, (&before.shop, &after.shop), (key, new), now, &mut held)?;
        if is_named || !job.is_empty() {
            foreseen.jobs.push(job);
        }
    }
    for (at, id) in new_of {
        let whys = held.iter().filter(|(fact, _)| *fact == id).map(|(_, why)| why.clone()).collect();
        if let Some(paper) = foreseen.papers.get_mut(at) {
            paper.fate = ForeseenFate::Filed { held: whys };
        }
    }
    Ok(foreseen)
}

fn paper(name: &str, bytes: &[u8], fate: Fate) -> (ForeseenPaper, Option<Arc<Fact>>) {
    let mut paper = ForeseenPaper {
        name: name.to_owned(),
        kind: String::new(),
        job: String::new(),
        digest: Digest::of(bytes).short(),
        fate: ForeseenFate::Copy,
    };
    match fate {
        Fate::Filed(fact) => {
            fact.body.kind().clone_into(&mut paper.kind);
            paper.job = fact.head.job_written.to_string();
            paper.fate = ForeseenFate::Filed { held: Vec::new() };
            return (paper, Some(fact));
        }
        Fate::Returned(slip) => paper.fate = ForeseenFate::Returned { slip },
        Fate::Unfinished(_, slip) => paper.fate = ForeseenFate::Unfinished { slip },
        Fate::Copy | Fate::Left => {}
    }
    (paper, None)
}

/// Engines in the ledger that rest on what the shop's papers say.
fn touched(ledger: &Ledger, shop_facts: &[Arc<Fact>]) -> Result<Vec<JobKey>, DaemonError> {
    let jobs = if shop_facts.is_empty() {
        Vec::new()
    } else {
        match stale(shop_facts) {
            Stale::None => Vec::new(),
            Stale::Using(keys) => ledger.jobs_using(&keys)?,
            Stale::All => ledger.job_keys()?,
        }
    };
    Ok(jobs.iter().filter_map(|job| JobKey::of(job, ledger.site())).collect())
}

fn one_job(
    ledger: &Ledger,
    (before, after): (&Shop, &Shop),
    (key, new): (JobKey, Vec<Arc<Fact>>),
    now: Timestamp,
    held: &mut Vec<(Digest, String)>,
) -> Result<ForeseenJob, DaemonError> {
    let mut known = KnownJob::load(&key, ledger, ledger.site())?;
    // A letter that would gather with others for a while is a letter all the same.
    known.told.last = None;
    let was = (!known.set.is_empty()).then(|| view(&key, &known.set, before));
    let response = respond(&key, known.set, &known.told, after, new, now);
    held.extend(response.view.job.held.iter().map(|held| {
        let part = if held.part.is_empty() { String::new() } else { format!("{}: ", held.part) };
        (held.fact, format!("{part}{}", held.why))
    }));
    let letters =
        response.letters.iter().map(|letter| (letter.to_name.clone(), letter.subject.clone())).collect();
    Ok(ForeseenJob::between(was.as_ref(), &response.view, letters))
}
