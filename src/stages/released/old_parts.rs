//! Released: the customer was asked about the old parts.

use crate::facts::Step;
use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::comes_apart;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let signed = [Step::Engine, Step::Delivered].iter().filter_map(|step| job.signed.get(step));
    let said = signed.into_iter().any(|signed| signed.old_parts.is_some());
    // Asked once the engine is handed over: the sign-off of that says it.
    if !comes_apart(job) || said || !job.signed.contains_key(&Step::Delivered) {
        return Vec::new();
    }
    let what = "delivered, and nobody said whether the old parts were offered back: sign it again with that";
    vec![Line::of(Stage::Released, BlockerRule::OldParts).one(Actor::Owner, "", what)]
}
