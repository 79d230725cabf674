//! Inspection: what it will cost is written down.
//!
//! The latest estimate says what the whole job costs; something more that is found is a new estimate of the whole. It
//! stays below the most that the customer wished to spend, unless the customer has approved it as it is.

use crate::facts::Money;
use crate::judgement::Judgement;
use crate::shop::{ApprovalNow, EstimateNow, Job};
use crate::stages::asked::comes_apart;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let what = match job.books.estimate() {
        None => "no estimate: lines, not to exceed, and until when it holds".to_owned(),
        Some(now) if now.estimate.sum() > now.estimate.not_to_exceed => format!(
            "its lines come to {}, more than not to exceed {}: drop a new estimate",
            now.estimate.sum(),
            now.estimate.not_to_exceed
        ),
        Some(now) => match above_ceiling(job, now) {
            Some(what) => what,
            None => return Vec::new(),
        },
    };
    if !comes_apart(job) {
        return Vec::new();
    }
    vec![Line::of(Stage::Inspection, BlockerRule::Estimated).one(Actor::Owner, "", what)]
}

/// Why an estimate that nobody approved yet is held against the wish at the check-in.
fn above_ceiling(job: &Job, now: &EstimateNow) -> Option<String> {
    let wish = job.check_in.as_ref()?.wishes.ceiling.as_deref()?;
    let is_of_it = |word: &&ApprovalNow| word.estimate == Some(now.said.fact);
    if job.books.approvals.iter().rfind(is_of_it).is_some_and(|word| word.approval.granted) {
        return None;
    }
    let most = now.estimate.not_to_exceed;
    match Money::written(wish) {
        Some(ceiling) if most <= ceiling => None,
        Some(ceiling) => Some(format!(
            "not to exceed {most} is more than the {ceiling} the customer wished to spend at the most: lower it, or ask \
             and record the approval"
        )),
        None => Some(format!(
            "at the check-in the customer's most is \"{wish}\", which is no amount: hold {most} against it yourself, and \
             record the approval"
        )),
    }
}
