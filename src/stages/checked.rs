//! Every gate: what the sheet wants looked at by eye was looked at, and is good.
//!
//! A check of the machining gate counts only when it was made after the last cut on what it looks at, as chips come with every
//! cut, and no check counts for another piece of what it looks at. One of
//! the assembly counts only when it was made after what it looks over went in ([`looked_over`](super::looked_over)), and
//! a second person is one who did none of that. What every such engine has is not answered with "not on this engine".

use crate::facts::CheckResult;
use crate::judgement::Judgement;
use crate::sheets::{Check, CheckBy, CheckStage, Follows, Reads, ReadsFault, fold_name};
use crate::shop::{CheckNow, FindingNow, Job, Worked};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::looked_over::{hands, own_work, since};

pub(super) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let asked = sheet.checks.iter().filter(|check| job.concerns(&check.scopes) && can_be_made(job, check));
    asked.filter_map(|check| open(job, check)).collect()
}

/// An engine that does not turn cannot be tried before it comes apart.
fn can_be_made(job: &Job, check: &Check) -> bool {
    let turns = job.check_in.as_ref().is_none_or(|check_in| check_in.turns);
    turns || check.stage != CheckStage::CheckedIn
}

fn open(job: &Job, check: &Check) -> Option<Blocker> {
    let line = Line::of(stage(check.stage), BlockerRule::Checked);
    let actor = match check.by {
        CheckBy::Bench => Actor::Bench,
        CheckBy::Checker => Actor::Checker,
        CheckBy::Owner => Actor::Owner,
    };
    let last = job.checks.get(&fold_name(&check.key)).and_then(|answers| answers.last());
    let what = match last {
        None => format!("look, and answer: {}{}", check.words, asked(check)),
        Some(answer) if is_bad(check, answer) => {
            return Some(line.wrong().one(actor, &check.key, fault(job, check, answer)?));
        }
        Some(answer) => fault(job, check, answer)?,
    };
    Some(line.one(actor, &check.key, what))
}

/// An earlier answer while the engine ran that was not good, where nobody found anything between it and this one: it does
/// not mend itself.
fn unexplained<'j>(job: &'j Job, check: &Check, answer: &CheckNow) -> Option<&'j CheckNow> {
    let answers = job.checks.get(&fold_name(&check.key)).filter(|_| check.runs)?;
    let before = answers.iter().rfind(|before| is_bad(check, before))?;
    // A defect on anything, or a look at what lives by its oil.
    let sheet = job.sheet.as_deref();
    let by_oil: Vec<usize> =
        sheet.iter().flat_map(|sheet| &sheet.checks).flat_map(|check| &check.before_start).copied().collect();
    let explains = |f: &FindingNow| f.severity > 0 || f.places.iter().any(|place| by_oil.contains(&place.0));
    let between = |f: &&FindingNow| f.said.at > before.said.at && f.said.at <= answer.said.at;
    let looked = job.findings.iter().filter(between).any(explains);
    (!looked).then_some(before)
}

/// What was seen or read is not good.
fn is_bad(check: &Check, answer: &CheckNow) -> bool {
    let outside = |reads: &Reads| matches!(reads.fault(&answer.value), Some(ReadsFault::Outside));
    answer.result == CheckResult::No
        || (answer.result == CheckResult::Yes && check.reads.as_ref().is_some_and(outside))
}

fn fault(job: &Job, check: &Check, answer: &CheckNow) -> Option<String> {
    let by = answer.said.words();
    match answer.result {
        CheckResult::No => {
            let why = if answer.why.is_empty() { &check.words } else { &answer.why };
            return Some(format!("answered no by {by}: {why}; put it right and answer again"));
        }
        CheckResult::NotHere if check.always => {
            return Some(format!(
                "\"{}\" by {by}, but it is due on every engine of this sheet: {}; only a named person waives it",
                answer.result.word(),
                check.words
            ));
        }
        CheckResult::NotHere => return None,
        CheckResult::Yes => {}
    }
    if let Some(wrong) = check.reads.as_ref().and_then(|reads| number(reads, answer)) {
        return Some(wrong);
    }
    if let Some(before) = unexplained(job, check, answer) {
        let read = if before.value.is_empty() { before.result.word() } else { &before.value };
        return Some(format!(
            "{read} by {}, and good since without a word why: say in a finding what was looked at and what it was, and \
             answer again after it",
            before.said.words()
        ));
    }
    if let Some(renewed) = renewed_since(job, check, answer) {
        return Some(format!("{renewed}: look again, {}", check.words));
    }
    if check.stage == CheckStage::Machining
        && let Some(work) = last_work(job, check).filter(|work| work.said.at > answer.said.at)
    {
        return Some(format!(
            "answered before {} ({}): look again, {}",
            work.operation, work.said.written, check.words
        ));
    }
    let hands = hands(job, check);
    let own = || if check.second { own_work(job, &hands, &answer.said) } else { None };
    since(&hands, &answer.said).or_else(own).map(|why| format!("{why}, {}", check.words))
}

/// The number that goes with the answer, in words.
fn asked(check: &Check) -> String {
    check.reads.as_ref().map_or_else(String::new, |reads| format!("; say what was read, {}", reads.words()))
}

/// A number that is not there, or outside the sheet's limits.
fn number(reads: &Reads, answer: &CheckNow) -> Option<String> {
    let (by, asked) = (answer.said.words(), reads.words());
    Some(match reads.fault(&answer.value)? {
        ReadsFault::NoNumber if answer.value.is_empty() => {
            format!("answered by {by} without what was read: say it as the value, {asked}")
        }
        ReadsFault::NoNumber => format!(
            "\"{}\" by {by} is no such number: say it as the value, {asked}, with its unit behind it, and at most how it was read",
            answer.value
        ),
        ReadsFault::Outside => format!(
            "{} by {by}, and the sheet asks for {asked}: do not run it on, find out why, put it right, read it again",
            answer.value
        ),
    })
}

/// Another piece of what it looks at came since: the answer was about the first.
fn renewed_since(job: &Job, check: &Check, answer: &CheckNow) -> Option<String> {
    let kinds = check.after.as_ref()?;
    let of_kind = job.parts.iter().filter(|(place, _)| kinds.contains(&Follows::Part(place.0)));
    let (place, said) = of_kind
        .filter_map(|(place, life)| Some((*place, life.renewed.as_ref()?)))
        .filter(|(_, said)| said.at > answer.said.at)
        .max_by_key(|(_, said)| said.order())?;
    Some(format!("answered before another {} came ({})", job.parts_name(&[place]), said.words()))
}

/// The last cut on the parts it looks at, on any where the sheet does not say which.
fn last_work<'j>(job: &'j Job, check: &Check) -> Option<&'j Worked> {
    let is_of = |kind: usize| check.after.as_ref().is_none_or(|all| all.contains(&Follows::Part(kind)));
    let lives = job.parts.iter().filter(|(place, _)| is_of(place.0)).map(|(_, life)| life);
    lives.flat_map(|life| &life.worked).max_by_key(|work| (work.said.at, work.said.fact))
}

const fn stage(stage: CheckStage) -> Stage {
    match stage {
        CheckStage::CheckedIn => Stage::CheckedIn,
        CheckStage::Teardown => Stage::Teardown,
        CheckStage::Inspection => Stage::Inspection,
        CheckStage::Machining => Stage::Machining,
        CheckStage::Reassembly => Stage::Reassembly,
        CheckStage::Released => Stage::Released,
    }
}
