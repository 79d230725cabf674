//! Released: nothing that was said of the engine waits unheard.
//!
//! A statement that nobody could understand yet may be the one about the crack. It is answered, said again, or withdrawn.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::comes_apart;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(first) = job.held.first().filter(|_| comes_apart(job)) else { return Vec::new() };
    let more = match job.held.len() {
        1 => String::new(),
        n => format!(" (and {} more)", n - 1),
    };
    let what = format!(
        "{} {} is held{more}: {}; say it again so that it can be understood, or withdraw it",
        first.kind,
        first.fact.short(),
        first.why
    );
    vec![Line::of(Stage::Released, BlockerRule::Held).one(Actor::Bench, "", what)]
}
