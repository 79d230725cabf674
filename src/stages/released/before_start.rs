//! Released: what has to be good before the engine runs for the first time was good by then (trade notes A, step 23: oil
//! pressure is seen without starting; a dry start wipes bearings and cam in seconds).
//!
//! A check that is answered afterwards lifts nothing: what it ran on is looked at. Parts that went in since the engine last
//! ran have their own first start.

use crate::facts::CheckResult;
use crate::judgement::Judgement;
use crate::sheets::{Check, ReadsFault, Sheet, fold_name};
use crate::shop::{CheckNow, Job, Said};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let runs = runs(job, sheet);
    let asked = sheet.checks.iter().filter(|check| job.concerns(&check.scopes));
    asked.filter_map(|check| ran_without(job, sheet, check, &runs)).collect()
}

/// When it is known to have run.
fn runs<'j>(job: &'j Job, sheet: &Sheet) -> Vec<&'j Said> {
    let checks = sheet.checks.iter().filter(|check| check.runs);
    // "No" without a number may say that it did not even start.
    let has_run = |now: &&CheckNow| now.result == CheckResult::Yes || !now.value.is_empty();
    let ran = checks.flat_map(|check| answers(job, check)).filter(has_run);
    ran.map(|now| &now.said).collect()
}

fn answers<'j>(job: &'j Job, check: &Check) -> &'j [CheckNow] {
    job.checks.get(&fold_name(&check.key)).map_or(&[], Vec::as_slice)
}

fn ran_without(job: &Job, sheet: &Sheet, check: &Check, runs: &[&Said]) -> Option<Blocker> {
    let starts: Vec<(usize, &Said)> = check
        .before_start
        .iter()
        .filter_map(|kind| Some((*kind, start_without(job, check, *kind, runs)?)))
        .collect();
    let (_, first) = starts.iter().min_by_key(|(_, said)| said.order())?;
    let kinds: Vec<&str> =
        starts.iter().filter_map(|(kind, _)| Some(sheet.parts.get(*kind)?.key.as_str())).collect();
    let late = answers(job, check).iter().rfind(|now| now.said.at > first.at && is_good(check, now));
    let late = late.map_or_else(
        || ", and answer this then".to_owned(),
        |now| format!("; that it was answered afterwards ({}) says nothing of that start", now.said.words()),
    );
    let unread =
        answers(job, check).iter().rfind(|now| now.said.at <= first.at && is_yes_without_number(check, now));
    let late = unread.map_or(late, |now| {
        format!(
            "; or {} says what was read, if it was: yes was answered without the number",
            now.said.words()
        )
    });
    let what = format!(
        "the engine ran ({}) and nobody had seen this before: {}. Do not run it on: take the first of each out, look at {}, \
         and drop a finding on each{late}",
        first.words(),
        check.words,
        kinds.join(", ")
    );
    Some(Line::of(Stage::Released, BlockerRule::BeforeStart).one(Actor::Bench, &check.key, what))
}

/// The first start of the parts of a kind that are in now, where the check was not good by then and nobody looked at one of
/// them since.
fn start_without<'j>(job: &Job, check: &Check, kind: usize, runs: &[&'j Said]) -> Option<&'j Said> {
    // One that went in since says nothing of the others, so the first of them is asked about.
    let lives = job.parts.iter().filter(|(place, _)| place.0 == kind).map(|(_, life)| life);
    let fitted = lives.filter_map(|life| life.fitted.as_ref()).map(|fitted| fitted.said.at).min();
    let is_since = |said: &Said| fitted.is_none_or(|fitted| said.at > fitted);
    let start = runs.iter().copied().filter(|said| is_since(said)).min_by_key(|said| said.order())?;
    let before = runs.iter().filter(|said| !is_since(said)).map(|said| said.at).max();
    let in_time =
        |now: &CheckNow| now.said.at <= start.at && before.is_none_or(|before| now.said.at > before);
    let good = answers(job, check).iter().any(|now| in_time(now) && is_good(check, now));
    // Seen in time and the number left out: it may be said afterwards by whoever saw it.
    let unread = |now: &&CheckNow| in_time(now) && is_yes_without_number(check, now);
    let said_since = answers(job, check).iter().filter(unread).any(|seen| {
        let own = |now: &CheckNow| {
            now.said.who == seen.said.who && now.said.at > seen.said.at && is_good(check, now)
        };
        answers(job, check).iter().any(own)
    });
    let good = good || said_since;
    let is_one = |finding: &crate::shop::FindingNow| finding.places.iter().any(|place| place.0 == kind);
    let looked = job.findings.iter().any(|finding| is_one(finding) && finding.said.at > start.at);
    (!good && !looked).then_some(start)
}

fn is_yes_without_number(check: &Check, now: &CheckNow) -> bool {
    let fault = check.reads.as_ref().and_then(|reads| reads.fault(&now.value));
    now.result == CheckResult::Yes && fault == Some(ReadsFault::NoNumber)
}

fn is_good(check: &Check, now: &CheckNow) -> bool {
    match now.result {
        CheckResult::Yes => check.reads.as_ref().is_none_or(|reads| reads.fault(&now.value).is_none()),
        CheckResult::NotHere => !check.always,
        CheckResult::No => false,
    }
}
