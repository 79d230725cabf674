//! Inspection: what it will cost is written down.
//!
//! The latest estimate says what the whole job costs; something more that is found is a new estimate of the whole.

use crate::judgement::Judgement;
use crate::shop::Job;
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
        Some(_) => return Vec::new(),
    };
    if !comes_apart(job) {
        return Vec::new();
    }
    vec![Line::of(Stage::Inspection, BlockerRule::Estimated).one(Actor::Owner, "", what)]
}
