//! Teardown: every position is filled or marked missing.

use crate::judgement::Judgement;
use crate::sheets::Part;
use crate::shop::Job;
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::cautions::Handled;
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let open = parts(job, |part| part.strip).filter(|(_, _, life)| !life.is_accounted_for());
    let items = open.map(|(place, part, _)| (place, Actor::Bench, words(job, part)));
    Line::of(Stage::Teardown, BlockerRule::Stripped).parts(job, items)
}

fn words(job: &Job, part: &Part) -> String {
    let asked = "not accounted for: say that it is off and where it lies, or that it is missing";
    let meets = job.sheet.as_deref().is_some_and(|sheet| sheet.engine.interference == Some(true));
    if meets && Handled::of(&part.key) == Handled::CamDrive {
        return format!(
            "{asked}; before it comes off the crank stands at its safe position and is locked, as the valves meet the pistons"
        );
    }
    asked.to_owned()
}
