//! When papers are issued: the build record of an engine that was delivered and of which nothing is open.
//!
//! A version is made of the statements recorded up to a moment, as if nothing had come later. So the same statements give
//! the same versions however they were split into batches, and a ledger made anew from them issues them once more. Only a
//! statement that *arrives* after a version was issued that it belongs to makes a difference: what was handed over without
//! it stays as it was, and a further version has it.

use super::view;
use crate::facts::{Body, Digest, Fact, JobKey, Step};
use crate::pages::{Issued, JobView, content_of, next_version};
use crate::shop::{FactSet, Job, RULE_SET, Shop};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The papers that are issued now, with their bytes; `now` is what follows from `set`, `before` what was issued of the job.
#[must_use]
pub fn issue(
    key: &JobKey,
    set: &FactSet,
    shop: &Shop,
    now: &JobView,
    before: &[Issued],
) -> Vec<(Issued, Vec<u8>)> {
    let facts = set.in_order();
    let Some(signed) = first_signed(&facts) else { return Vec::new() };
    let last = before.last().map(|issued| issued.at);
    let is_new = |at: &i64| last.map_or(signed <= *at, |last| last < *at);
    let mut moments: BTreeSet<i64> = facts.iter().map(|fact| recorded(fact)).filter(is_new).collect();
    // All of it comes last, also where what is new was recorded before.
    moments.insert(last.unwrap_or_default().max(facts.last().map_or(signed, |fact| recorded(fact))));
    let end = moments.last().copied();
    let (mut known, mut made) = (before.to_vec(), Vec::new());
    for moment in moments {
        let papers = if Some(moment) == end {
            papers(now, &known, moment)
        } else {
            papers(&as_of(key, &facts, shop, now, moment), &known, moment)
        };
        known.extend(papers.iter().map(|(issued, _)| issued.clone()));
        made.extend(papers);
    }
    made
}

/// A paper that was found somewhere, held against what its statements say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compared {
    /// The same comes out.
    Same,
    /// From the very statements it names, by the same rules, something else comes out.
    Differs,
    /// It rests on other statements than are known, or was made by other rules.
    CannotBe,
}

/// Is this paper what the statements recorded up to its moment come to? `now` is what follows from all of `set`.
#[must_use]
pub fn hold_against(key: &JobKey, set: &FactSet, shop: &Shop, now: &JobView, paper: &Issued) -> Compared {
    if paper.rule_set != RULE_SET {
        return Compared::CannotBe;
    }
    let then = as_of(key, &set.in_order(), shop, now, paper.at);
    if facts_of(&then.job) != paper.facts {
        Compared::CannotBe
    } else if content_of(&then, paper.paper) == paper.content {
        Compared::Same
    } else {
        Compared::Differs
    }
}

fn recorded(fact: &Fact) -> i64 {
    fact.head.recorded.instant().as_millisecond()
}

/// From when on there may be something to issue: engine and delivery were signed for the first time. `None` where it was
/// never delivered.
fn first_signed(facts: &[&Arc<Fact>]) -> Option<i64> {
    let first = |step: Step| {
        let is_it = |fact: &&&Arc<Fact>| matches!(&fact.body, Body::SignOff(signed) if signed.step == step);
        facts.iter().find(is_it).map(|fact| recorded(fact))
    };
    let delivered = first(Step::Delivered)?;
    Some(first(Step::Engine).map_or(delivered, |engine| engine.max(delivered)))
}

/// What followed from the statements recorded by then, in the shop as it had heard of its gauges.
fn as_of(key: &JobKey, facts: &[&Arc<Fact>], shop: &Shop, now: &JobView, moment: i64) -> JobView {
    let mut fewer = FactSet::default();
    for fact in facts.iter().filter(|fact| recorded(fact) <= moment) {
        fewer.insert(Arc::clone(fact));
    }
    let until = jiff::Timestamp::from_millisecond(moment).ok();
    let heard = until.and_then(|until| now.job.shop_as_heard(until));
    view(key, &fewer, heard.as_ref().unwrap_or(shop))
}

/// The papers of a further version, where one is due.
fn papers(view: &JobView, before: &[Issued], at: i64) -> Vec<(Issued, Vec<u8>)> {
    let standing = &view.standing;
    let is_open = !standing.is_checked_in || standing.stored || !standing.blockers.is_empty();
    let facts = facts_of(&view.job);
    // Other rules, or another program, are no reason to issue the same statements again.
    if is_open || before.last().is_some_and(|last| last.facts == facts) {
        return Vec::new();
    }
    next_version(view, before, facts, at)
}

/// Digest of what a record rests on: the statements that stand, those that were withdrawn, sheet and house rules, and the
/// gauges as they were known.
fn facts_of(job: &Job) -> Digest {
    let mut words: Vec<String> = job.statements().iter().map(|fact| fact.id.hex()).collect();
    words.extend(job.withdrawn.iter().map(|id| format!("withdrawn {}", id.hex())));
    words.extend(job.grounds.iter().map(Digest::hex));
    for fact in job.statements() {
        if let Body::Measurements(set) = &fact.body {
            let known = |mark: &str| {
                job.shop().gauge(mark, &fact.head.who, &fact.head.recorded, job.rules.as_deref())
            };
            words.extend(set.gauge.as_deref().and_then(known).map(|gauge| gauge.evidence_for(set)));
        }
    }
    words.sort_unstable();
    words.dedup();
    Digest::of_pieces(&words.iter().map(String::as_bytes).collect::<Vec<_>>())
}
