//! Inspection: the money is approved, by who may approve it, for this estimate, in its time, and for all agreed work.
//!
//! No clock enters here: whether an approval had run out is asked of the day the work began, and of an estimate that
//! nobody answered, of the day of the last statement.

use crate::judgement::Judgement;
use crate::sheets::same_name;
use crate::shop::{ApprovalNow, EstimateNow, Job, Said};
use crate::stages::asked::day;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::{Line, surfaces_name};

const LINE: Line = Line::of(Stage::Inspection, BlockerRule::Approved);

/// Follows the surfaces of an addition that has others too.
pub(in crate::stages) const AND_MORE: &str = " and more";

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    // Whoever asks for bare parts to be machined may do so without an estimate; one that was made is answered.
    let Some(estimate) = job.books.estimate() else { return Vec::new() };
    let word = job.books.approvals.iter().rfind(|now| now.estimate == Some(estimate.said.fact));
    let Some(word) = word else { return vec![unanswered(job, estimate)] };
    if !word.approval.granted {
        let why =
            if word.approval.why.is_empty() { String::new() } else { format!(": {}", word.approval.why) };
        let what = format!(
            "declined by {} ({}){why}; make another estimate, store the engine, or give it back",
            word.approval.by, word.said.written
        );
        return vec![LINE.one(Actor::Owner, "", what)];
    }
    let faults = [
        wrong_person(job, word),
        too_late(job, estimate, word),
        too_little(estimate, word),
        later_work(job, word),
        other_option(job, estimate),
    ];
    faults.into_iter().flatten().chain(job.books.additions().filter_map(|now| added(job, now))).collect()
}

/// What is added needs an approval of its own; declined, it is not done, and what was approved before stands.
fn added(job: &Job, now: &EstimateNow) -> Option<Blocker> {
    let Some(word) = job.books.answer_to(now) else { return Some(unanswered(job, now)) };
    if !word.approval.granted {
        return None;
    }
    wrong_person(job, word).or_else(|| too_little(now, word))
}

fn unanswered(job: &Job, now: &EstimateNow) -> Blocker {
    let (most, expires) = (now.estimate.not_to_exceed, now.estimate.expires);
    if job.last_recorded.is_some_and(|last| now.said.is_past(expires, last)) {
        return LINE.one(
            Actor::Owner,
            "",
            format!("the estimate of {most} ran out on {expires} without an answer: renew it"),
        );
    }
    LINE.one(Actor::Customer, "", format!("no answer to the estimate of {most}, which holds until {expires}"))
}

fn wrong_person(job: &Job, word: &ApprovalNow) -> Option<Blocker> {
    let check_in = job.check_in.as_ref()?;
    let (named, by) = (&check_in.approver, &word.approval.by);
    let other = !named.is_empty() && !check_in.is_approver(by);
    other.then(|| {
        LINE.one(
            Actor::Owner,
            "approver",
            format!("approved by {by}, the check-in names {named}: ask {named}, or set this aside by name with the reason"),
        )
    })
}

fn too_late(job: &Job, estimate: &EstimateNow, word: &ApprovalNow) -> Option<Blocker> {
    let expires = estimate.estimate.expires;
    let what = if estimate.said.is_past(expires, word.said.at) {
        format!(
            "approved on {}, after the estimate ran out on {expires}: renew the estimate",
            day(&word.said)
        )
    } else {
        let began = work_began(job).filter(|began| estimate.said.is_past(expires, began.at))?;
        let began = day(began);
        format!("the approval ran out on {expires}, before work began on {began}: renew the estimate")
    };
    Some(LINE.one(Actor::Owner, "", what))
}

/// The first cut, or the first order that went out.
fn work_began(job: &Job) -> Option<&Said> {
    let done = job.parts.values().flat_map(|life| life.worked.iter().map(|work| &work.said));
    let ordered = job.orders.values().map(|order| &order.said);
    done.chain(ordered).min_by_key(|said| said.at)
}

fn too_little(estimate: &EstimateNow, word: &ApprovalNow) -> Option<Blocker> {
    let (sum, approved) = (estimate.estimate.sum(), word.amount.unwrap_or_default());
    (approved < sum).then(|| {
        LINE.one(
            Actor::Customer,
            "amount",
            format!(
                "{} approved up to {approved}, the estimate comes to {sum}: ask for the rest",
                word.approval.by
            ),
        )
    })
}

/// What was approved is one option, what was agreed another: nobody knows what the customer pays for.
fn other_option(job: &Job, estimate: &EstimateNow) -> Option<Blocker> {
    let approved = &estimate.estimate.option;
    let added = |option: &String| job.books.additions().any(|now| same_name(option, &now.estimate.option));
    let named = |option: &String| !option.is_empty() && !same_name(option, approved) && !added(option);
    let (key, agreed) = job.agreed.iter().find(|(_, agreed)| named(&agreed.option))?;
    (!approved.is_empty()).then(|| {
        let what = format!(
            "option {} was agreed ({}), the money approved is for option {approved}: agree the work that is approved, or have the other estimate approved",
            agreed.option, agreed.by
        );
        LINE.one(Actor::Owner, surfaces_name(job, &[*key]), what)
    })
}

/// Work that was agreed later needs an approval of its own.
fn later_work(job: &Job, word: &ApprovalNow) -> Option<Blocker> {
    let last = job.books.granted_additions().map(|(_, answer)| answer.said.at).chain([word.said.at]).max()?;
    let later: Vec<_> =
        job.agreed.iter().filter(|(_, agreed)| agreed.order.0 > last).map(|(key, _)| *key).collect();
    let first = later.first()?;
    let same: Vec<_> = later.iter().filter(|key| key.feature == first.feature).copied().collect();
    let more = if same.len() < later.len() { AND_MORE } else { "" };
    Some(LINE.one(
        Actor::Customer,
        format!("{}{more}", surfaces_name(job, &same)),
        format!(
            "work was agreed after the approval of {}: estimate it as an addition, or the whole anew, and have it approved",
            word.said.written
        ),
    ))
}
