//! Stored, not authorised: the customer stopped the job. The engine rusts unless it is oiled and bagged.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(stored) = job.stored() else { return Vec::new() };
    let line = Line::of(Stage::CheckedIn, BlockerRule::Stored);
    let due = stored.due_again.map_or_else(String::new, |day| format!(", preservation due again {day}"));
    let mut blockers = vec![line.one(
        Actor::Customer,
        "",
        format!(
            "stored, not authorised, since {}{due}: it goes on with new leave or new approval",
            stored.written
        ),
    )];
    if stored.preserved.is_empty() || stored.due_again.is_none() {
        blockers.push(line.one(
            Actor::Bench,
            "preservation",
            "nobody said how it was preserved and when that is due again: oil it, bag it, and sign it stored once more",
        ));
    }
    blockers
}
