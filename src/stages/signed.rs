//! Each step that needs a signature has one.

use crate::facts::Step;
use crate::shop::Job;
use crate::stages::asked::comes_apart;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

/// The first signature that is missing.
pub(super) fn next_signature(job: &Job) -> Option<Blocker> {
    let worked = !job.agreed.is_empty() || job.parts.values().any(|life| !life.worked.is_empty());
    let apart = comes_apart(job);
    let steps = [
        (Step::Teardown, Stage::Teardown, apart),
        (Step::Inspection, Stage::Inspection, true),
        (Step::Machining, Stage::Machining, worked),
        (Step::Reassembly, Stage::Reassembly, true),
        (Step::Engine, Stage::Released, true),
        (Step::Delivered, Stage::Released, apart),
    ];
    let (step, stage, _) =
        steps.into_iter().find(|(step, _, needed)| *needed && !job.signed.contains_key(step))?;
    let what = format!("{} is not signed: look at the job page and drop the sign-off", step.word());
    Some(Line::of(stage, BlockerRule::Signed).one(Actor::Owner, "", what))
}
