//! Checked in: the customer gave leave to take the engine apart.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::comes_apart;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    if !comes_apart(job) {
        return Vec::new();
    }
    let line = Line::of(Stage::CheckedIn, BlockerRule::Authority);
    let blocker = match &job.authority {
        None => line.one(
            Actor::Customer,
            "",
            "no leave to take it apart: get it in writing, at a price, with what becomes of the engine if the work is declined",
        ),
        Some((said, authority)) if !authority.granted => {
            let then = if authority.if_declined.is_empty() {
                "store it or give it back"
            } else {
                &authority.if_declined
            };
            line.one(Actor::Owner, "", format!("{} refused leave ({}): {then}", authority.by, said.written))
        }
        Some(_) => return Vec::new(),
    };
    vec![blocker]
}
