//! Teardown: every position is filled or marked missing.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let open = parts(job, |part| part.strip).filter(|(_, _, life)| !life.is_accounted_for());
    let items = open.map(|(place, _, _)| {
        (
            place,
            Actor::Bench,
            "not accounted for: say that it is off and where it lies, or that it is missing".to_owned(),
        )
    });
    Line::of(Stage::Teardown, BlockerRule::Stripped).parts(job, items)
}
